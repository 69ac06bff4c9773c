package trace

import (
	"bytes"
	"io"
	"testing"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// demoLayout is that of the demo tank: 34 columns.
var demoLayout = Layout{Fans: 2, Banks: 6, Ages: true, Outputs: true}

func demoRow() Row {
	row := Row{HasOutputs: true, Outputs: hal.Outputs{Contactor: true, Fans: true, Banks: hal.FirstBanks(6)}}
	row.Time = 1234500 * time.Millisecond
	row.Probes[hal.BathA] = hal.Aged(physic.ZeroCelsius+60500*physic.MilliKelvin, 500*time.Millisecond)
	row.Probes[hal.BathB] = hal.Aged(physic.ZeroCelsius+60437500*physic.MicroKelvin, 500*time.Millisecond)
	row.Probes[hal.Cabinet] = hal.Aged(physic.ZeroCelsius+31*physic.Kelvin, 500*time.Millisecond)
	row.Meter.Volts = hal.Aged(229700*physic.MilliVolt, 200*time.Millisecond)
	row.Meter.Watts = hal.Aged(512300*physic.MilliWatt, 200*time.Millisecond)
	row.Fans[0], row.Fans[1] = hal.Fresh(2610*hal.RPM), hal.Fresh(2587500*hal.MilliRPM)
	row.Contacts = hal.Contacts{LevelOK: hal.Closed, LidClosed: hal.Open, StopClosed: hal.Closed, ContactorAux: hal.Closed}
	row.RecordOK, row.OutputsOK = true, true
	return row
}

func BenchmarkWriter(b *testing.B) {
	w, err := NewWriter(io.Discard, demoLayout)
	if err != nil {
		b.Fatal(err)
	}
	row := demoRow()
	b.ReportAllocs()
	for b.Loop() {
		if err := w.Write(&row); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReader(b *testing.B) {
	header, line := demoText(b)
	r, err := NewReader(io.MultiReader(bytes.NewReader(header), &repeated{text: line}), "bench.csv")
	if err != nil {
		b.Fatal(err)
	}
	var row Row
	b.ReportAllocs()
	b.SetBytes(int64(len(line)))
	for b.Loop() {
		if err := r.Next(&row); err != nil {
			b.Fatal(err)
		}
	}
}

// demoText returns the header and one row of the demo tank.
func demoText(b *testing.B) (header, line []byte) {
	var out bytes.Buffer
	w, err := NewWriter(&out, demoLayout)
	if err != nil {
		b.Fatal(err)
	}
	row := demoRow()
	if err := w.Write(&row); err != nil {
		b.Fatal(err)
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	header, line, _ = bytes.Cut(out.Bytes(), []byte("\n"))
	return append(header[:len(header):len(header)], '\n'), line
}

// repeated gives a text over and over.
type repeated struct {
	text []byte
	at   int
}

func (r *repeated) Read(p []byte) (int, error) {
	n := copy(p, r.text[r.at:])
	r.at = (r.at + n) % len(r.text)
	return n, nil
}
