// Package proofbench has no code of its own: its tests walk through a proof test in
// the modelled cabinet, with a modelled hand that does what it is told, and plant
// defects that the walk must find.
package proofbench
