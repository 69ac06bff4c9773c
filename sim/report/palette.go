package report

import "image/color"

// An ink is an opaque colour.
type ink = color.RGBA

func rgb(hex uint32) ink {
	return ink{R: uint8(hex >> 16), G: uint8(hex >> 8), B: uint8(hex), A: 255}
}

// The greys of the sheet, and the strong colours of marks and limits.
var (
	paper    = rgb(0xFFFFFF)
	inkText  = rgb(0x1F2933) // titles and names
	inkQuiet = rgb(0x5A6672) // ticks, units and remarks
	inkGrid  = rgb(0xE9ECEF)
	inkEdge  = rgb(0xBCC4CC)
	inkBar   = rgb(0x44617C)
	inkRow   = rgb(0xF3F5F7)
	inkLimit = rgb(0x7A4A12)

	inkTrip = rgb(0xB00020)
	inkHold = rgb(0x8A5A00)
	inkNote = rgb(0x4B5563)
)

// A curve is told from the next by colour, by dashes and by its name beside it,
// so that it can be told without colour as well.
type curve struct {
	ink  ink
	dash []float64 // px on, px off, ...; nil is solid
}

// curves are dark enough on white for thin lines (WCAG 2.1, 1.4.11) and far
// apart for readers who cannot tell red from green. None is near the trip red.
var curves = []curve{
	{rgb(0x0067A5), nil},
	{rgb(0xC66A00), []float64{7, 3}},
	{rgb(0x00856A), []float64{2.5, 2.5}},
	{rgb(0x8E4A9E), []float64{9, 3, 2, 3}},
	{rgb(0x3A3F45), []float64{4, 2}},
	{rgb(0x2D2A8C), []float64{1.5, 3}},
}

// phaseTints are pale grounds for dark text, by the word for the phase.
var phaseTints = map[string]ink{
	"purge":     rgb(0xDCEBF2),
	"preheat":   rgb(0xFBE3C3),
	"degas":     rgb(0xD5EBDD),
	"clean":     rgb(0xC3DCF3),
	"roll-call": rgb(0xE8DDF0),
	"run-on":    rgb(0xE3E6EA),
	"idle":      rgb(0xF6F7F8),
}

// otherTints serve phases of any other name, in the order they first appear.
var otherTints = []ink{rgb(0xF5E1EA), rgb(0xE9EBC9), rgb(0xDDE3F7), rgb(0xD4ECEC), rgb(0xEFE2D6)}

// tints gives every phase name its ground.
func tints(phases []Phase) map[string]ink {
	out := map[string]ink{}
	others := 0
	for _, f := range phases {
		if _, ok := out[f.Name]; ok {
			continue
		}
		if t, ok := phaseTints[f.Name]; ok {
			out[f.Name] = t
			continue
		}
		out[f.Name] = otherTints[others%len(otherTints)]
		others++
	}
	return out
}

func (s Severity) ink() ink {
	switch s {
	case Trip:
		return inkTrip
	case Hold:
		return inkHold
	}
	return inkNote
}
