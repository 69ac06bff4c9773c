// Package picture draws a black-box window, or the trace of a session, as an SVG:
// the readings one under another on one time axis, what was commanded below them,
// and what happened across all of it.
//
// It is small so that the program on the board can have it; the simulator's
// reports are the larger pictures. The text needs no font, script or other file
// to be shown, and the same rows always give the same bytes.
//
// A curve is told from the next by its dashes and its name beside it, and not by
// its colour alone. Where there was no reading the curve is broken and a bar lies
// at the foot of its panel.
package picture
