package picture

// Colours, as SVG has them. All that is drawn on white for somebody to read has a
// contrast of 4.5 to 1 or more (WCAG 2.1, 1.4.3), the curves too.
const (
	paper = "#ffffff"
	dark  = "#1f2933" // titles and names
	quiet = "#525e6a" // ticks and remarks
	grid  = "#e3e7eb"
	edge  = "#bcc4cc"
	row   = "#eef1f4" // the ground of a bar
	bar   = "#44617c"
	red   = "#b00020" // the mark of the trip
)

// ink is how a curve is drawn.
type ink struct {
	colour, dash string
}

// inks are far apart for readers who cannot tell red from green, and none is near
// the red of the trip.
var inks = []ink{
	{"#005f99", ""},
	{"#9a4f00", "7 3"},
	{"#00705a", "2.5 2.5"},
	{"#83408f", "9 3 2 3"},
	{"#3a3f45", "4 2"},
	{"#2d2a8c", "1.5 3"},
	{"#6b5b00", "12 4"},
	{"#7a2e4e", "6 2 1.5 2 1.5 2"},
}
