package report

import (
	"io"
	"testing"
	"time"
)

func BenchmarkTrackAdd(b *testing.B) {
	b.ReportAllocs()
	k := NewTrack()
	at := time.Duration(0)
	for b.Loop() {
		at += tick
		k.Add(at, float64(at&0xFFFF))
	}
}

func BenchmarkBarsSet(b *testing.B) {
	b.ReportAllocs()
	s := NewBars()
	at := time.Duration(0)
	for b.Loop() {
		at += tick
		s.Set(at, at&(1<<33) != 0)
	}
}

func BenchmarkSheet(b *testing.B) {
	r := demoReport()
	for name, write := range map[string]func(io.Writer) error{
		"svg": r.Sheet.WriteSVG, "png": r.Sheet.WritePNG, "page": r.WritePage,
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := write(io.Discard); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
