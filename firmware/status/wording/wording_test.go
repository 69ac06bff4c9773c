package wording

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"bathtender/firmware/status"
	"bathtender/firmware/status/example"
)

func number(v float64) *float64 { return &v }

func TestNumbersAndTimes(t *testing.T) {
	for _, c := range []struct{ want, got string }{
		{"-", Number(nil, 1, "°C")}, {"-", Number(number(math.NaN()), 1, "°C")}, {"-", Value(math.Inf(-1), 1, "W")},
		{"51.1 °C", Number(number(51.07), 1, "°C")}, {"0 W", Value(-0.2, 0, "W")}, {"-0.2 W", Value(-0.2, 1, "W")},
		{"1.00e+15 W", Value(1e15, 0, "W")}, {"7", Value(7, 0, "")},
		{"-", Seconds(-1)}, {"-", Seconds(math.NaN())}, {"-", Seconds(1e18)}, {"0 s", Seconds(0.4)}, {"59 s", Seconds(59.4)}, {"1 min", Seconds(59.6)},
		{"7 min 20 s", Seconds(440)}, {"1 h 1 min", Seconds(3660)}, {"48 h", Seconds(172799)}, {"2 days", Seconds(172800)},
		{"-", Hours(nil)}, {"30 min", Hours(number(0.5))},
		{"-", Plain("")}, {"-", Plain("\x1b\x00\u202e")}, {"a b", Plain(" a\n\tb\r")}, {"[31mred", Plain("\x1b[31mred")}, {"\u00e9", Plain("\u00e9\xff")},
	} {
		assert.Equal(t, c.want, c.got)
	}
}

// Hands may go in only where everything that is known says so, and nothing that
// matters is unknown. Each change below alone must keep them out.
func TestHands(t *testing.T) {
	calm := example.Idle()
	out, text := Hands(&calm)
	assert.False(t, out)
	assert.Equal(t, "nothing is on and the bath has 21.6 °C: pull the plug before you reach in", text)
	for why, change := range map[string]func(*status.View){
		"nothing is known of the tank":                       func(v *status.View) { *v = status.View{} },
		"emission from bank 3":                               func(v *status.View) { v.Banks[2].On = true },
		"emission from banks 2 and 4":                        func(v *status.View) { v.Banks[1].On, v.Banks[3].On = true, true },
		"emission from banks 2, 3 and 6":                     func(v *status.View) { v.Banks[1].On, v.Banks[2].On, v.Banks[5].On = true, true, true },
		"a session runs, emission can begin at any moment":   func(v *status.View) { v.Session.Phase = "purge" },
		"a session runs, emission can begin at any moment ":  func(v *status.View) { v.Outputs.Lamp = true },
		"a session runs, emission can begin at any moment  ": func(v *status.View) { v.Session.Phase = "a phase of a later version" },
		"a session runs, emission begins again with START":   func(v *status.View) { v.Session.Phase, v.Outputs.Lamp = "turn-over", true },
		"what the tank is doing is not known":                func(v *status.View) { v.Session.Phase = "" },
		"a lockout waits to be seen to":                      func(v *status.View) { v.Latched = []status.Latch{{Name: "x", Lockout: true}} },
		"how hot it is, is not known":                        func(v *status.View) { v.Bath.A, v.Bath.B = nil, number(math.NaN()) },
		"it has 43.0 °C, hot liquid scalds":                  func(v *status.View) { v.Bath.B = number(43) },
		"it has 59.0 °C, hot liquid scalds":                  func(v *status.View) { v.Bath.A = number(59) },
		"it has 60.0 °C, hot liquid scalds":                  func(v *status.View) { v.Bath.A, v.Bath.B = number(60), nil },
		"the heater is on":                                   func(v *status.View) { v.Outputs.Heater = true },
		"the contactor is closed":                            func(v *status.View) { v.Outputs.Contactor = true },
	} {
		v := example.Idle()
		change(&v)
		out, text := Hands(&v)
		assert.True(t, out, why)
		assert.Equal(t, "HANDS OUT OF THE BATH: "+trimmed(why), text)
	}
}

func trimmed(s string) string {
	for len(s) > 0 && s[len(s)-1] == ' ' {
		s = s[:len(s)-1]
	}
	return s
}

func TestAttentionHasTheGravestFirst(t *testing.T) {
	v := example.Tripped()
	v.Latched = append(v.Latched, status.Latch{Name: "bath high limit", Lockout: true, Text: "bath probe A at 71 °C, over the machine's 70 °C limit"})
	v.Journal, v.Loop.Late, v.Loop.Worst = status.Journal{Why: "no space left on device"}, 2, 0.4
	assert.Equal(t, []Notice{
		{"lockout", "bath high limit: bath probe A at 71 °C, over the machine's 70 °C limit (its cause has gone, it waits for a reset)"},
		{"trip", "airflow lost, fan 2: fan 2 at 90 rpm, below its 1500 rpm minimum (its cause still stands)"},
		{"bank", "bank 3 is out of service until it is reset"},
		{"journal", "records cannot be written: no space left on device"},
		{"care", "the liquid is 12 days old, it is due for a change after 14 days"},
		{"loop", "2 of 40000 ticks came late, the latest by 400 ms"},
	}, Attention(&v))
	v = example.Idle()
	assert.Empty(t, Attention(&v))
	v.Session.Phase = "turn-over"
	assert.Equal(t, []Notice{{"to do", "turn the parts over and press START"}}, Attention(&v))
}

func TestPhases(t *testing.T) {
	v := example.Clean()
	assert.Equal(t, "clean, side 1 of 2", Phase(&v))
	assert.Equal(t, "7 min 20 s left in clean, all off in 19 min 20 s", Left(&v))
	v.Session.LeftKnown = false
	assert.Equal(t, "the time left is not known yet", Left(&v))
	v.Session.RollCall = 4
	assert.Equal(t, "clean, side 1 of 2, roll-call without bank 4", Phase(&v))
	v = example.Idle()
	assert.Equal(t, "no recipe selected", Recipe(&v))
	assert.Empty(t, Left(&v))
	v.Selected = &status.Selected{Recipe: "heavy", Left: 55}
	assert.Equal(t, `recipe "heavy" is selected and waits for START, 55 s more`, Recipe(&v))
}

func TestRows(t *testing.T) {
	v := example.Tripped()
	banks := Banks(&v)
	assert.Equal(t, BankRow{"bank 3", "out of service", "41 W", "80 W", "-39 W", 41.0 / 80}, banks[2])
	v.Banks[0].Watts = number(83)
	assert.Equal(t, "+3 W", Banks(&v)[0].Difference)
	v.Banks[0].Watts = nil
	assert.Equal(t, BankRow{"bank 1", "off", "-", "80 W", "-", -1}, Banks(&v)[0])
	assert.Equal(t, []FanRow{{"fan 1", "fast enough", "2600 rpm", "1500 rpm", false}, {"fan 2", "TOO SLOW", "90 rpm", "1500 rpm", true}}, Fans(&v))
	v.Fans[1].Speed, v.Fans[0].Required = nil, false
	assert.Equal(t, []FanRow{{"fan 1", "fast enough, not required", "2600 rpm", "1500 rpm", false}, {"fan 2", "no reading", "-", "1500 rpm", true}}, Fans(&v))
}
