// Package trace writes, reads and replays recorded snapshots.
//
// A trace is a CSV file (RFC 4180, UTF-8) of one row per tick under a row of
// column names. Each row holds the snapshot, the request, and, where a recorder
// kept them, the outputs that were commanded at that tick. Reading a trace gives
// back the integers that were written: numbers are exact decimals, in and out,
// and no float stands in between.
//
// # Columns
//
// Order is free and only time_s is required. The unit ends the name.
//
//	time_s                                      monotonic time of the snapshot
//	bath_a_degC, bath_b_degC, cabinet_degC      probes
//	mains_V, mains_W, mains_A, mains_Hz         meter
//	fan_1_rpm to fan_8_rpm                      tachs
//	level_ok, lid_closed, stop_closed,          contacts: 1 closed, 0 open,
//	  leak_dry, contactor_aux                   empty absent
//	record_ok, kept_ok, outputs_ok              1 or 0
//	request                                     empty, "start NAME", "stop", "reset"
//	out_contactor, out_fans, out_heater,        outputs: 1 on, 0 off
//	  out_heartbeat, out_watchdog,
//	  out_sounder, out_lamp
//	out_banks                                   1 and 0, bank 1 first, at most 16
//	events                                      what happened: sentences, "; " between them
//
// Each reading also has a column for its age at the snapshot: bath_a_age_s,
// bath_b_age_s, cabinet_age_s, mains_V_age_s, mains_W_age_s, mains_A_age_s,
// mains_Hz_age_s, fan_1_age_s to fan_8_age_s.
//
// # What an empty field and a missing column mean
//
// An empty field of a probe, the meter or a tach is no reading, and its age is
// empty with it. An empty contact is an absent one. The out_ fields of a row are
// all empty where no outputs were recorded, and events where nothing happened.
//
// A missing column reads as its zero: no reading, an absent contact, no request,
// no outputs, no events, and an age of 0. There are three exceptions: record_ok,
// kept_ok and outputs_ok are true where the column is missing, because such a
// trace comes from a driver that has no journal or cannot read its lines back.
//
// Time may stand still or go back: a recorded trace may show a fault of the
// clock, and a replay has to show it to the supervisor as it was.
//
// # Reading and writing
//
// A Reader takes a byte order mark, LF or CRLF, quoted fields, and a last row
// without a line end; it passes over blank lines. A Writer writes LF, no byte
// order mark, and quotes only where needed, and always around events. Bad input
// gives one sentence with file, line, column, the value and what is allowed.
//
// A Player replays a trace as a hal.Board and keeps the first row where the
// outputs written to it differ from those recorded.
//
// # Sidecar
//
// Beside NAME.csv stands NAME.csv-metadata.json, which describes the columns and
// says where the trace comes from; see WriteMetadata. Of a trace that begins in
// the middle of a session it also keeps what the supervisor remembered before the
// first row and which recipes it had: a supervisor that is given both decides
// from the first row on as it did then.
package trace
