package picture

import (
	"bytes"
	"encoding/xml"
	"flag"
	"io"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
)

var update = flag.Bool("update", false, "write testdata/window.svg anew")

// The whole picture of a small window, the same on every processor. After a
// change: go test ./firmware/journal/picture -run Golden -update, and look at it
// in a browser before you keep it.
func TestGolden(t *testing.T) {
	s := aSheet()
	rows := s.Rows
	s.Rows, s.Tick = nil, time.Second
	for i := 0; i < len(rows); i += 10 {
		s.Rows = append(s.Rows, rows[i])
	}
	for i := 20; i < 25; i++ {
		s.Rows[i].Fans[0] = hal.Reading[hal.RotationalSpeed]{}
	}
	const name = "testdata/window.svg"
	got := text(t, s)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(name, []byte(got), 0o644))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(want, []byte(got)), "the picture differs from %s", name)
}

// Whatever a trace holds, its picture is XML.
func FuzzPicture(f *testing.F) {
	f.Add([]byte("time_s,bath_a_degC,fan_1_rpm,mains_W,out_contactor,out_banks,events\n1,60,2600,500,1,11,\"a; b\"\n1.1,,0,-3,0,00,\n0.5,1e3,,,,,<&\n"), int64(1e9))
	f.Add([]byte("time_s,bath_b_degC\n-9000000000,-9000000000\n9000000000,9000000000\n"), int64(-1))
	f.Add([]byte("time_s\n"), int64(0))
	f.Fuzz(func(t *testing.T, data []byte, zero int64) {
		s := &Sheet{Title: string(data), About: string(data), Zero: time.Duration(zero), Mark: "trip", Tick: time.Second}
		_ = s.Load(data, "a.csv") // the rows before what is wrong
		if len(s.Rows) > 200 {
			s.Rows = s.Rows[:200]
		}
		var out bytes.Buffer
		require.NoError(t, s.Write(&out))
		d := xml.NewDecoder(&out)
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else {
				require.NoError(t, err)
			}
		}
	})
}
