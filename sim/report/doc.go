// Package report draws one session, simulated or replayed: curves, outputs,
// phases and marks over one shared clock, as an SVG, a PNG and a page.
//
// It knows nothing of tanks. The caller names the curves, gives their units and
// feeds them; this package decides how they look. Everything that is fed tick
// by tick (Track, Bars, Phases, Marks) holds a fixed amount of memory however
// long the session is, and says so in the picture where that cost detail.
//
// Times are on the session's own clock, from 0. The same input gives the same
// bytes. Nothing here runs in the loop, so floats and allocation are free when
// drawing; only feeding is kept cheap.
package report
