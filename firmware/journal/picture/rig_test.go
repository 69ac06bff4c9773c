package picture

import (
	"bytes"
	"encoding/xml"
	"io"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/trace"
)

const tick = 100 * time.Millisecond

// aSheet is a window of a minute before a trip and half a minute after it: fan 2
// runs down, then emission stops.
func aSheet() *Sheet {
	s := &Sheet{
		Title: "fan 2 at 310 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped", About: "record 3; a made-up trace",
		Zero: 160 * time.Second, Mark: "trip", Tick: tick, Fans: 2, Banks: 3,
	}
	for at := 100 * time.Second; at <= 190*time.Second; at += tick {
		r := trace.Row{HasOutputs: true}
		r.Time = at
		since := at - s.Zero
		r.Probes[hal.BathA] = hal.Fresh(physic.ZeroCelsius + 60*physic.Celsius + physic.Temperature(at-100*time.Second)/100)
		r.Probes[hal.BathB] = hal.Fresh(r.Probes[hal.BathA].Value - 250*physic.MilliKelvin)
		r.Probes[hal.Cabinet] = hal.Fresh(physic.ZeroCelsius + 28*physic.Celsius)
		r.Meter.Watts = hal.Fresh(500 * physic.Watt)
		r.Fans[0], r.Fans[1] = hal.Fresh(2600*hal.RPM), hal.Fresh(2600*hal.RPM)
		r.Outputs = hal.Outputs{Contactor: true, Fans: true, Banks: hal.FirstBanks(3)}
		if since > -2*time.Second {
			r.Fans[1] = hal.Fresh(310 * hal.RPM)
		}
		if since >= 0 {
			r.Outputs.Banks = 0
			r.Meter.Watts = hal.Fresh(14 * physic.Watt)
		}
		switch since {
		case 0:
			r.Events = s.Title + "; run-on begins: fans until the cabinet is cool"
		case -20 * time.Second:
			r.Events = "roll-call begins"
		case 20 * time.Second:
			r.Events = "airflow lost (fan 2) has been reset"
		}
		s.Rows = append(s.Rows, r)
	}
	return s
}

// at returns the row of a time from the trip.
func (s *Sheet) at(since time.Duration) *trace.Row {
	return &s.Rows[(since+60*time.Second)/tick]
}

func text(t testing.TB, s *Sheet) string {
	var out bytes.Buffer
	require.NoError(t, s.Write(&out))
	return out.String()
}

// element is an element of the picture, with those inside it.
type element struct {
	XMLName  xml.Name
	Attrs    []xml.Attr `xml:",any,attr"`
	Text     string     `xml:",chardata"`
	Children []element  `xml:",any"`
}

// read reads a picture back as XML, which it must be.
func read(t testing.TB, s *Sheet) element {
	d := xml.NewDecoder(strings.NewReader(text(t, s)))
	var e element
	require.NoError(t, d.Decode(&e))
	_, err := d.Token()
	if err == nil { // the line end of the last line
		_, err = d.Token()
	}
	require.ErrorIs(t, err, io.EOF)
	require.Equal(t, "svg", e.XMLName.Local)
	require.Equal(t, "http://www.w3.org/2000/svg", e.XMLName.Space)
	return e
}

func (e *element) attr(name string) string {
	for _, a := range e.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (e *element) number(t testing.TB, name string) float64 {
	v, err := strconv.ParseFloat(e.attr(name), 64)
	require.NoError(t, err, "%s of %s", name, e.XMLName.Local)
	return v
}

// all returns the elements of a name below this one, in their order.
func (e *element) all(name string) []element {
	var list []element
	for i := range e.Children {
		c := &e.Children[i]
		if c.XMLName.Local == name {
			list = append(list, *c)
		}
		list = append(list, c.all(name)...)
	}
	return list
}

// group returns the groups of a class, by their titles.
func (e *element) group(class string) map[string]element {
	groups := map[string]element{}
	for _, g := range e.all("g") {
		if g.attr("class") == class {
			groups[g.Children[0].Text] = g
		}
	}
	return groups
}

// points returns the points of a polyline.
func (e *element) points(t testing.TB) []point {
	var list []point
	for _, pair := range strings.Fields(e.attr("points")) {
		x, y, ok := strings.Cut(pair, ",")
		require.True(t, ok, pair)
		px, err := strconv.ParseFloat(x, 64)
		require.NoError(t, err)
		py, err := strconv.ParseFloat(y, 64)
		require.NoError(t, err)
		list = append(list, point{px, py})
	}
	return list
}
