package quantity

import (
	"math"
	"math/big"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"
	"pgregory.net/rapid"

	"bathtender/hal"
)

func parsed[Q ~int64](t *testing.T, kind Kind[Q], text string) Q {
	t.Helper()
	q, err := kind.Parse(text)
	require.NoError(t, err)
	return q
}

// Values as people write them. That 45 degC is 113 degF and 318.15 K, an inch
// 25.4 mm and a US gallon 3.785411784 l are definitions.
func TestParse(t *testing.T) {
	for _, text := range []string{"45 degC", "45degC", "45 °C", "45°C", " 45.0 °C ", "+45 degC", "113 degF", "113 °F", "318.15 K", "45\u00a0°C"} {
		assert.Equal(t, physic.ZeroCelsius+45*physic.Celsius, parsed(t, Temperature, text), text)
	}
	assert.Equal(t, physic.ZeroCelsius-40*physic.Celsius, parsed(t, Temperature, "-40 degF"))
	assert.Equal(t, physic.Temperature(255372222222), parsed(t, Temperature, "0 degF"))
	assert.Equal(t, physic.ZeroCelsius, parsed(t, Temperature, "32 degF"))
	assert.Equal(t, 500*physic.MilliKelvin, parsed(t, TemperatureDifference, "0.5 K"))
	assert.Equal(t, 50*physic.MilliKelvin, parsed(t, TemperatureRate, "3 K/min"))
	assert.Equal(t, parsed(t, Power, "1000 W"), parsed(t, Power, "1 kW"))
	assert.Equal(t, parsed(t, Distance, "900 mm"), parsed(t, Distance, "90 cm"))
	assert.Equal(t, 25400*physic.MicroMetre, parsed(t, Distance, "1 in"))
	assert.Equal(t, 230*physic.Volt, parsed(t, Voltage, "230 V"))
	assert.Equal(t, parsed(t, Current, "30 mA"), parsed(t, Current, "0.03 A"))
	assert.Equal(t, 40*physic.KiloHertz, parsed(t, Frequency, "40 kHz"))
	assert.Equal(t, 1500*hal.RPM, parsed(t, Speed, "1500 rpm"))
	assert.Equal(t, 19800*hal.MilliLitre, parsed(t, Volume, "19.8 l"))
	assert.Equal(t, hal.Volume(3785412), parsed(t, Volume, "1 US gal"))
	assert.Equal(t, int64(750), parsed(t, Share, "75 %"))
	assert.Equal(t, int64(75), parsed(t, Share, "7.5%"))
	assert.Equal(t, int64(50), parsed(t, Dilution, "1:50"))
	assert.Equal(t, int64(180), parsed(t, Days, "180 days"))
	assert.Equal(t, int64(1), parsed(t, Days, "1 day"))
	assert.Equal(t, int64(10), parsed(t, Dilution, " 1 : 10 "))
	for text, want := range map[string]time.Duration{
		"750 ms": 750 * time.Millisecond, "8 s": 8 * time.Second, "20 min": 20 * time.Minute, "1.5 h": 90 * time.Minute,
		"8 min 20 s": 500 * time.Second, "1h30min": 90 * time.Minute, "1 min 0.5 s": 60500 * time.Millisecond, "0 s": 0,
	} {
		assert.Equal(t, want, parsed(t, Duration, text), text)
	}
}

// The one sentence for each way to be wrong.
func TestParseErrors(t *testing.T) {
	read := map[string]func(string) error{
		"temperature": func(s string) error { _, err := ParseTemperature(s); return err },
		"frequency":   func(s string) error { _, err := ParseFrequency(s); return err },
		"power":       func(s string) error { _, err := ParsePower(s); return err },
		"share":       func(s string) error { _, err := ParseShare(s); return err },
		"time":        func(s string) error { _, err := ParseDuration(s); return err },
		"dilution":    func(s string) error { _, err := ParseDilution(s); return err },
		"days":        func(s string) error { _, err := ParseDays(s); return err },
		"voltage":     func(s string) error { _, err := ParseVoltage(s); return err },
	}
	for _, c := range []struct{ kind, text, want string }{
		{"temperature", "45", `temperature "45" has no unit, allowed are degC, °C, degF, °F and K, as in "45 degC"`},
		{"temperature", "45 C", `temperature "45 C" has the unknown unit "C", allowed are degC, °C, degF, °F and K, as in "45 degC"`},
		{"temperature", "45 mdegC", `temperature "45 mdegC" has the unknown unit "mdegC", allowed are degC, °C, degF, °F and K, as in "45 degC"`},
		{"temperature", "", `temperature "" is empty, allowed is a number with a unit, as in "45 degC"`},
		{"temperature", "warm", `temperature "warm" does not start with a number, allowed is a number with a unit, as in "45 degC"`},
		{"temperature", "- 5 degC", `temperature "- 5 degC" does not start with a number, allowed is a number with a unit, as in "45 degC"`},
		{"temperature", "4,5 degC", `temperature "4,5 degC" has a comma where a decimal point is needed, allowed is a number with a unit, as in "45 degC"`},
		{"temperature", ".5 K", `temperature ".5 K" needs a digit on both sides of its decimal point, allowed is a number with a unit, as in "45 degC"`},
		{"temperature", "5. K", `temperature "5. K" needs a digit on both sides of its decimal point, allowed is a number with a unit, as in "45 degC"`},
		{"temperature", "4.5.6 K", `temperature "4.5.6 K" is not a plain decimal number, allowed is a number with a unit, as in "45 degC"`},
		{"temperature", "0.0000000001 K", `temperature "0.0000000001 K" is finer than can be kept, allowed are fewer decimals, as in "45 degC"`},
		{"temperature", "99999999999 K", `temperature "99999999999 K" is too large to be kept, allowed is a smaller number, as in "45 degC"`},
		{"temperature", strings.Repeat("9", 31) + " K", `temperature "` + strings.Repeat("9", 31) + ` K" has too many digits, allowed is a number with a unit, as in "45 degC"`},
		{"frequency", "40 mHz", `frequency "40 mHz" has the unknown unit "mHz", allowed are Hz and kHz, as in "40 kHz"`},
		{"frequency", "40 MHz", `frequency "40 MHz" has the unknown unit "MHz", allowed are Hz and kHz, as in "40 kHz"`},
		{"power", "1 KW", `power "1 KW" has the unknown unit "KW", allowed are W and kW, as in "1000 W"`},
		{"power", "1_000 W", `power "1_000 W" is not a plain decimal number, allowed is a number with a unit, as in "1000 W"`},
		{"power", "1e3 W", `power "1e3 W" has the unknown unit "e3 W", allowed are W and kW, as in "1000 W"`},
		{"voltage", "230 v", `voltage "230 v" has the unknown unit "v", allowed is V, as in "230 V"`},
		{"share", "7.55 %", `share "7.55 %" is finer than can be kept, allowed are fewer decimals, as in "75 %"`},
		{"time", "8", `time "8" has no unit, allowed are ms, s, min and h, as in "1.5 h"`},
		{"time", "8 m", `time "8 m" has the unknown unit "m", allowed are ms, s, min and h, as in "1.5 h"`},
		{"time", "20 s 8 min", `time "20 s 8 min" does not go from whole longer parts to shorter ones, allowed is as in "8 min 20 s"`},
		{"time", "1.5 min 10 s", `time "1.5 min 10 s" does not go from whole longer parts to shorter ones, allowed is as in "8 min 20 s"`},
		{"time", "1 min -10 s", `time "1 min -10 s" does not go from whole longer parts to shorter ones, allowed is as in "8 min 20 s"`},
		{"time", "-1 min 10 s", `time "-1 min 10 s" does not go from whole longer parts to shorter ones, allowed is as in "8 min 20 s"`},
		{"time", "1 s 1 s", `time "1 s 1 s" does not go from whole longer parts to shorter ones, allowed is as in "8 min 20 s"`},
		{"time", "2562047 h 59 min", `time "2562047 h 59 min" is too large to be kept, allowed is a smaller number, as in "1.5 h"`},
		{"dilution", "50:1", `dilution "50:1" is not one part of concentrate to whole parts of water, allowed is "1:1" to "1:1000", as in "1:50"`},
		{"dilution", "1:0", `dilution "1:0" is not one part of concentrate to whole parts of water, allowed is "1:1" to "1:1000", as in "1:50"`},
		{"dilution", "10", `dilution "10" is not one part of concentrate to whole parts of water, allowed is "1:1" to "1:1000", as in "1:50"`},
	} {
		assert.EqualError(t, read[c.kind](c.text), c.want)
	}
}

func TestFormat(t *testing.T) {
	for want, got := range map[string]string{
		"61.2 °C":    FormatTemperature(physic.ZeroCelsius + 61240*physic.MilliKelvin),
		"70 °C":      FormatTemperature(physic.ZeroCelsius + 70*physic.Celsius),
		"-5.1 °C":    FormatTemperature(physic.ZeroCelsius - 5100*physic.MilliKelvin),
		"0 °C":       FormatTemperature(physic.ZeroCelsius - 10*physic.MilliKelvin),
		"0.5 K":      FormatTemperatureDifference(500 * physic.MilliKelvin),
		"0.05 K/s":   FormatTemperatureRate(50 * physic.MilliKelvin),
		"1500 rpm":   FormatSpeed(1500 * hal.RPM),
		"41 W":       FormatPower(41 * physic.Watt),
		"4.8 W":      FormatPower(4800 * physic.MilliWatt),
		"10 W":       FormatPower(9960 * physic.MilliWatt),
		"1000 W":     FormatPower(physic.KiloWatt),
		"12.5 kW":    FormatPower(12500 * physic.Watt),
		"19.8 l":     FormatVolume(19800 * hal.MilliLitre),
		"396 ml":     FormatVolume(396 * hal.MilliLitre),
		"1 l":        FormatVolume(999600 * hal.MicroLitre),
		"900 mm":     FormatDistance(900 * physic.MilliMetre),
		"1.25 m":     FormatDistance(1250 * physic.MilliMetre),
		"229.6 V":    FormatVoltage(229600 * physic.MilliVolt),
		"6.5 A":      FormatCurrent(6522 * physic.MilliAmpere),
		"30 mA":      FormatCurrent(30 * physic.MilliAmpere),
		"49.98 Hz":   FormatFrequency(49980 * physic.MilliHertz),
		"40 kHz":     FormatFrequency(40 * physic.KiloHertz),
		"75 %":       FormatShare(750),
		"180 days":   FormatDays(180),
		"1 day":      FormatDays(1),
		"7.5 %":      FormatShare(75),
		"1:50":       FormatDilution(50),
		"8 min 20 s": FormatDuration(500 * time.Second),
		"20 min":     FormatDuration(20 * time.Minute),
		"1 h 30 min": FormatDuration(90 * time.Minute),
		"1.5 s":      FormatDuration(1500 * time.Millisecond),
		"750 ms":     FormatDuration(750 * time.Millisecond),
		"1 s":        FormatDuration(999600 * time.Microsecond),
		"1 min":      FormatDuration(59960 * time.Millisecond),
		"1 h":        FormatDuration(time.Hour - 400*time.Millisecond),
		"-8 s":       FormatDuration(-8 * time.Second),
		"0 s":        FormatDuration(0),
	} {
		assert.Equal(t, want, got)
	}
	assert.NotPanics(t, func() {
		for _, extreme := range []int64{math.MinInt64, math.MaxInt64} {
			_ = FormatTemperature(physic.Temperature(extreme)) + FormatPower(physic.Power(extreme)) +
				FormatDuration(time.Duration(extreme)) + FormatVolume(hal.Volume(extreme)) + FormatShare(extreme)
		}
	})
}

// A decimal is kept exactly: compared with rational arithmetic.
func TestParseIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.Int64Range(0, 100000).Draw(t, "whole")
		decimals := rapid.StringMatching(`(\.[0-9]{1,9})?`).Draw(t, "decimals")
		number := big.NewInt(whole).String() + decimals
		u := rapid.SampledFrom(Power.units).Draw(t, "unit")
		got, err := ParsePower(number + " " + u.name)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := new(big.Rat).SetString(number)
		want.Mul(want, new(big.Rat).SetInt64(u.num))
		if new(big.Rat).SetInt64(int64(got)).Cmp(want) != 0 {
			t.Fatalf("%s %s is %d nW, wanted %s", number, u.name, got, want)
		}
	})
}

// What is shown reads back as the same value to within the digits shown, and
// what has no more digits than are shown reads back exactly.
func TestFormatReadsBack(t *testing.T) {
	t.Run("temperature", func(t *testing.T) {
		readsBack(t, Temperature, int64(physic.ZeroCelsius), 100*int64(physic.MilliKelvin), 2000)
	})
	t.Run("difference", func(t *testing.T) { readsBack(t, TemperatureDifference, 0, 10*int64(physic.MilliKelvin), 2000) })
	t.Run("power", func(t *testing.T) { readsBack(t, Power, 0, int64(physic.Watt), 9999) })
	t.Run("distance", func(t *testing.T) { readsBack(t, Distance, 0, int64(physic.MilliMetre), 5000) })
	t.Run("voltage", func(t *testing.T) { readsBack(t, Voltage, 0, int64(physic.Volt/10), 5000) })
	t.Run("current", func(t *testing.T) { readsBack(t, Current, 0, 100*int64(physic.MilliAmpere), 500) })
	t.Run("speed", func(t *testing.T) { readsBack(t, Speed, 0, int64(hal.RPM), 30000) })
	t.Run("volume", func(t *testing.T) { readsBack(t, Volume, 0, int64(100*hal.MilliLitre), 5000) })
	t.Run("share", func(t *testing.T) { readsBack(t, Share, 0, 1, 1000) })
	t.Run("dilution", func(t *testing.T) { readsBack(t, Dilution, 1, 1, 999) })
	t.Run("days", func(t *testing.T) { readsBack(t, Days, 0, 1, 9999) })
	t.Run("tenths of a second", func(t *testing.T) { readsBack(t, Duration, 0, int64(100*time.Millisecond), 599) })
	t.Run("seconds", func(t *testing.T) { readsBack(t, Duration, 0, int64(time.Second), 3599) })
	t.Run("minutes", func(t *testing.T) { readsBack(t, Duration, 0, int64(time.Minute), 6000) })
}

func readsBack[Q ~int64](t *testing.T, kind Kind[Q], zero, step, most int64) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(0, most).Draw(t, "steps")
		exact := Q(zero + n*step)
		if back, err := kind.Parse(kind.Format(exact)); err != nil || back != exact {
			t.Fatalf("%d is shown as %q, which reads as %d (%v)", exact, kind.Format(exact), back, err)
		}
		off := Q(rapid.Int64Range(0, step-1).Draw(t, "off"))
		back, err := kind.Parse(kind.Format(exact + off))
		if err != nil || back > exact+Q(step) || back < exact {
			t.Fatalf("%d is shown as %q, which reads as %d (%v)", exact+off, kind.Format(exact+off), back, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"45 degC", "8 min 20 s", "1:50", "-0.5 K", "19.8 l", "75 %", "1 US gal", "9999999999999999999 h", "é", "1.\x00 W"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		check(t, Temperature, text)
		check(t, TemperatureRate, text)
		check(t, Power, text)
		check(t, Duration, text)
		check(t, Volume, text)
		check(t, Share, text)
		check(t, Dilution, text)
		check(t, Days, text)
	})
}

// check demands a value, or one line that quotes the text.
func check[Q ~int64](t *testing.T, kind Kind[Q], text string) {
	t.Helper()
	q, err := kind.Parse(text)
	if err == nil {
		_ = kind.Format(q)
		return
	}
	if q != 0 {
		t.Fatalf("%q gives %d and an error", text, q)
	}
	said := err.Error()
	if strings.ContainsAny(said, "\r\n") || !strings.Contains(said, Quote(text)) || !strings.Contains(said, "allowed") {
		t.Fatalf("%q: %s", text, said)
	}
}

func TestQuoteAndList(t *testing.T) {
	assert.Equal(t, `"a\nb"`, Quote("a\nb"))
	assert.Equal(t, `"`+strings.Repeat("é", 30)+`..."`, Quote(strings.Repeat("é", 40)))
	assert.Equal(t, "a, b and c", List([]string{"a", "b", "c"}))
	assert.Equal(t, "a", List([]string{"a"}))
	assert.Empty(t, List(nil))
}

func TestNearest(t *testing.T) {
	known := []string{"length", "width", "depth"}
	assert.Equal(t, "length", Nearest("lenght", known))
	assert.Equal(t, "width", Nearest("WIDTH", known))
	assert.Equal(t, "depth", Nearest("dept", known))
	assert.Empty(t, Nearest("colour", known))
	assert.Empty(t, Nearest(strings.Repeat("x", 10000), known))
	// Levenshtein's distance of "kitten" and "sitting" is 3: the usual textbook example.
	assert.Equal(t, 3, distance("kitten", "sitting"))
}
