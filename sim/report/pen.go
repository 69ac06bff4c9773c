package report

import (
	"strings"
	"sync"
	"unicode"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
)

// A pen draws on a picture whose origin is the top left corner, in pixels.
// The picture is described once and drawn by two pens: svgPen and pngPen.
type pen interface {
	// open starts a group of shapes; title says what they show, for readers
	// and for a hovering pointer. close ends it.
	open(title string)
	close()
	rect(x, y, w, h float64, fill ink)
	// lines strokes polylines in one style.
	lines(s stroke, paths ...[]point)
	text(x, y float64, s style, words string)
}

type point struct{ x, y float64 }

// A stroke is how a line looks.
type stroke struct {
	ink   ink
	width float64
	dash  []float64
}

// A style is how words look; y is their base line.
type style struct {
	size   float64
	bold   bool
	ink    ink
	anchor anchor
}

// An anchor is which end of the words stands at x.
type anchor int8

const (
	atStart anchor = iota
	atMiddle
	atEnd
)

// fonts holds the one family used. Its letters are as wide as those of the
// usual sans-serif fonts of browsers, so a picture measured here fits there.
var fonts = sync.OnceValue(func() *font.Cache { return font.NewCache(liberation.Collection()) })

func face(size float64, bold bool) font.Face {
	f := font.Font{Typeface: "Liberation", Variant: "Sans"}
	if bold {
		f.Weight = xfont.WeightBold
	}
	return fonts().Lookup(f, font.Length(size))
}

// width is how wide the words are drawn, in pixels.
func (s style) width(words string) float64 {
	f := face(s.size, s.bold)
	return float64(f.Width(words))
}

// fit shortens words with an ellipsis until they are at most wide pixels.
func (s style) fit(words string, wide float64) string {
	if s.width(words) <= wide {
		return words
	}
	runes := []rune(words)
	low, high := 0, len(runes) // the most runes that fit, by halving
	for low < high {
		mid := (low + high + 1) / 2
		if s.width(string(runes[:mid])+"\u2026") <= wide {
			low = mid
		} else {
			high = mid - 1
		}
	}
	return strings.TrimRight(string(runes[:low]), " ") + "\u2026"
}

// clean makes a caller's words fit for one line of a picture: what cannot be
// printed becomes a space, and broken UTF-8 the replacement character.
func clean(words string) string {
	words = strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) || r == unicode.ReplacementChar {
			return r
		}
		return ' '
	}, strings.ToValidUTF8(words, "\uFFFD"))
	return strings.Join(strings.Fields(words), " ")
}
