package setup_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/firmware/setup"
	"bathtender/hal"
	"bathtender/hal/board/pulsemeter"
)

// demo returns the demo tank with lines of its file replaced: those that begin
// with a text, by another line.
func demo(t *testing.T, lines ...string) *machine.Machine {
	text, err := os.ReadFile("../../testdata/machines/slide-tank.toml")
	require.NoError(t, err)
	for i := 0; i < len(lines); i += 2 {
		line := regexp.MustCompile(`(?m)^` + lines[i] + `.*$`)
		require.Regexp(t, line, string(text))
		text = line.ReplaceAll(text, []byte(lines[i+1]))
	}
	m, err := machine.Parse("demo.toml", text)
	require.NoError(t, err)
	return m
}

func sampling(t *testing.T) (s setup.Sampling, now func() time.Duration) {
	begun := time.Now()
	now = func() time.Duration { return time.Since(begun) }
	return setup.Sampling{Clock: now, OneWire: t.TempDir()}, now
}

func TestProbesOfTheDemoTank(t *testing.T) {
	s, now := sampling(t)
	for address, text := range map[string]string{"28-0000000a0001": "45125\n", "28-0000000c0003": "31000\n"} {
		folder := filepath.Join(s.OneWire, address)
		require.NoError(t, os.Mkdir(folder, 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(folder, "temperature"), []byte(text), 0o644))
	}
	probes, err := setup.Probes(demo(t), s)
	require.NoError(t, err)
	assert.Equal(t, [hal.MaxProbes]hal.Reading[physic.Temperature]{}, probes.Read(now()))
	probes.Start(t.Context())
	require.Eventually(t, func() bool {
		r := probes.Read(now())
		return r[hal.BathA].Valid && r[hal.Cabinet].Valid
	}, time.Minute, time.Millisecond)
	require.NoError(t, probes.Close())
	r := probes.Read(now())
	assert.Equal(t, physic.ZeroCelsius+45125*physic.MilliKelvin, r[hal.BathA].Value)
	assert.Equal(t, physic.ZeroCelsius+31*physic.Celsius, r[hal.Cabinet].Value)
	assert.False(t, r[hal.BathB].Valid, "it is on no bus")
}

func TestProbesThatCannotBeRead(t *testing.T) {
	s, _ := sampling(t)
	m := demo(t)
	m.Probes[hal.BathB] = machine.Probe{Fitted: true, Kind: "Pt100"}
	_, err := setup.Probes(m, s)
	assert.EqualError(t, err, `bath probe B is of the kind "Pt100", which can be simulated but not read yet, allowed on a board is "1-Wire digital thermometer"`)
}

func TestMetersThatCannotBeRead(t *testing.T) {
	s, _ := sampling(t)
	m := demo(t)
	m.Meter.Port = ""
	_, err := setup.Meter(m, s)
	assert.EqualError(t, err, `[meter] has no port, so the machine can be simulated but not run: allowed is one as in port = "/dev/ttyUSB0"`)
	m = demo(t)
	m.Meter.Registers = nil
	_, err = setup.Meter(m, s)
	assert.EqualError(t, err, "[meter] has no [[meter.register]], so the machine can be simulated but not run: allowed is one for watts at least")
	m = demo(t, "number = 12", "number = 65535")
	source, err := setup.Meter(m, s)
	assert.EqualError(t, err, "register 65535 for watts is none, allowed are 0 to 65534")
	assert.True(t, source == nil)
}

// The port of the demo tank is hardly there; a missing one is told, and nothing
// is read.
func TestAMeterWithoutItsPort(t *testing.T) {
	s, now := sampling(t)
	told := make(chan string, 10)
	s.Log = func(sentence string) { told <- sentence }
	m := demo(t, "port", `port = "`+filepath.ToSlash(filepath.Join(t.TempDir(), "tty"))+`"`)
	meter, err := setup.Meter(m, s)
	require.NoError(t, err)
	meter.Start(t.Context())
	assert.True(t, strings.HasPrefix(<-told, "the meter gives no reading: serial port"))
	require.NoError(t, meter.Close())
	assert.Equal(t, hal.Meter{}, meter.Read(now()))
}

func TestAPulseMeter(t *testing.T) {
	s, _ := sampling(t)
	m := demo(t)
	m.Meter.Kind, m.Meter.Pulses = machine.PulseMeter, 10000
	source, err := setup.Meter(m, s)
	require.NoError(t, err)
	source.Start(t.Context())
	meter := source.(*pulsemeter.Meter)
	meter.Watched(0)
	for i := range 3 {
		at := time.Duration(i) * 360 * time.Millisecond
		meter.Edge(at, true)
		meter.Edge(at+30*time.Millisecond, false)
	}
	meter.Watched(720 * time.Millisecond)
	assert.Equal(t, hal.Meter{Watts: hal.Fresh(1000 * physic.Watt)}, source.Read(720*time.Millisecond))
	require.NoError(t, source.Close())
	m.Meter.Pulses = 0
	_, err = setup.Meter(m, s)
	assert.Error(t, err)
}

// Each word that a machine file may have means something to the client: none is
// left to mean the first.
func TestEveryWordOfARegister(t *testing.T) {
	words := map[string][]string{
		"quantity": {"watts", "volts", "amperes", "hertz"}, "table": {"input", "holding"},
		"form":  {"float32", "uint16", "int16", "uint32", "int32"},
		"order": {"ABCD", "CDAB", "BADC", "DCBA"},
	}
	for key, list := range words {
		seen := map[string]bool{}
		for _, word := range list {
			r := machine.Register{Quantity: "watts", Table: "input", Form: "float32", Order: "ABCD", Divide: 1}
			switch key {
			case "quantity":
				r.Quantity = word
			case "table":
				r.Table = word
			case "form":
				r.Form = word
			case "order":
				r.Order = word
			}
			seen[fmt.Sprint(setup.Registers([]machine.Register{r}))] = true
		}
		assert.Len(t, seen, len(list), key)
	}
}
