// Package journal is the durable record of a machine: what happened, when, and
// what the sensors said around it, on a board whose plug gets pulled and whose
// storage is a cheap memory card.
//
// A journal is a folder:
//
//	journal-0000000001.jsonl  records, one a line, oldest first; a file is named
//	                          for the number of its first record
//	last-record               the number of the last record that was confirmed
//	kept.json                 what must survive a power loss: lockouts, banks out
//	                          of service, baselines, the liquid's age
//	windows/                  a black-box window for each trip: a trace of the
//	                          time before it and after it
//	sessions/                 a coarse trace of each session
//	files/                    machine file and recipes as they were
//	inbox/                    notes that wait for the program to take them in
//
// A record is one line of JSON with a checksum at its end. It is written, made
// durable and only then confirmed; what was confirmed is read back, or its loss
// is named. Nothing that was confirmed is ever written over.
//
// A Book is the journal itself. It does not run by itself and has no clock: one
// item after another is put in, each with its wall time. A Recorder puts a
// bounded queue and a goroutine between a Book and the loop, so that a slow disk
// never delays a tick. The simulator puts its items into a Book directly.
package journal
