package machine

import (
	"errors"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/tomlfile"
)

// wrong are machine files that each have one line of the demo's replaced ("+":
// one added after it), and all that must be said about them. "@" is the number
// of that line, "{place}" that of another.
var wrong = []struct{ place, line, want string }{
	{"[tank] fill", `fill = "160 mm"`,
		`@:8: fill "160 mm" in [tank] is not under depth "150 mm" in [tank] (line {[tank] depth}), the liquid must stay under the rim`},
	{"[tank] fill", "fill = 110",
		`@:8: fill 110 in [tank] has no unit or no quotes, allowed is a length as in "900 mm"`},
	{"[tank] fill", `fill = "110"`,
		`@:8: fill in [tank]: length "110" has no unit, allowed are mm, cm, m and in, as in "900 mm"`},
	{"[tank] fill", `fill = "110 ml"`,
		`@:8: fill in [tank]: length "110 ml" has the unknown unit "ml", allowed are mm, cm, m and in, as in "900 mm"`},
	{"[tank] fill", `fill = "-110 mm"`,
		`@:8: fill "-110 mm" in [tank] is out of range, allowed are 10 mm to 1.5 m`},
	{"[tank] fill", `fill = ["110 mm"]`,
		`@:1: fill [...] in [tank] is not a length, allowed is as in "900 mm"`},
	{"[tank] fill", "",
		"{[tank]}:1: fill is missing in [tank], allowed is a length from 10 mm to 1.5 m"},
	{"[tank] length", `lenght = "900 mm"`,
		"{[tank]}:1: length is missing in [tank], allowed is a length from 50 mm to 5 m\n" +
			`@:1: key "lenght" in [tank] is not known, the nearest allowed key is "length"`},
	{"[tank] length", `Length = "900 mm"`,
		"{[tank]}:1: length is missing in [tank], allowed is a length from 50 mm to 5 m\n" +
			`@:1: key "Length" in [tank] is not known, the nearest allowed key is "length"`},
	{"[tank] length", `length = "9000 mm"`,
		`@:10: length "9000 mm" in [tank] is out of range, allowed are 50 mm to 5 m`},
	{"[tank] length", `length = "900,5 mm"`,
		`@:10: length in [tank]: length "900,5 mm" has a comma where a decimal point is needed, allowed is a number with a unit, as in "900 mm"`},
	{"[tank] length", `length = "900.0000001 mm"`,
		`@:10: length in [tank]: length "900.0000001 mm" is finer than can be kept, allowed are fewer decimals, as in "900 mm"`},
	{"[tank] length", `length = "1e3 mm"`,
		`@:10: length in [tank]: length "1e3 mm" has the unknown unit "e3 mm", allowed are mm, cm, m and in, as in "900 mm"`},
	{"[tank] length", `length = "about 900 mm"`,
		`@:10: length in [tank]: length "about 900 mm" does not start with a number, allowed is a number with a unit, as in "900 mm"`},
	{"[tank] minimum", `minimum = "120 mm"`,
		`@:11: minimum "120 mm" in [tank] is not under fill "110 mm" in [tank] (line {[tank] fill}), the least height must be under the usual one`},
	{"[tank] lid", `lid = "yes"`,
		`@:7: lid "yes" in [tank] is not a yes or no, allowed are true and false, without quotes`},
	{"[tank] lid", "lid = false",
		"{[contacts] lid}:7: lid true in [contacts] does not go with lid false in [tank] (line {[tank] lid}), a lid switch needs a lid"},
	{"[tank]", "[tonk]",
		"{1}:1: table [tank] is missing, it must be there\n" +
			`@:1: key "tonk" in the file is not known, the nearest allowed key is "tank"`},
	{"[liquid] dilution", `dilution = "50:1"`,
		`@:12: dilution in [liquid]: dilution "50:1" is not one part of concentrate to whole parts of water, allowed is "1:1" to "1:1000", as in "1:50"`},
	{"[liquid] dilution+", `flash_point = "12 degC"`,
		`{[limits] bath}:8: flash_point "12 degC" in [liquid] (line {[liquid] flash_point}) is not 15 K over bath "70 degC" in [limits], a bath that can come near its flash point must be neither heated nor exposed to emission`},
	{"[liquid] dilution+", `flash_point = "84 degC"`,
		`{[limits] bath}:8: flash_point "84 degC" in [liquid] (line {[liquid] flash_point}) is not 15 K over bath "70 degC" in [limits], a bath that can come near its flash point must be neither heated nor exposed to emission`},
	{"[mains] low", `low = "230 V"`,
		`@:7: low "230 V" in [mains] is not under nominal "230 V" in [mains] (line {[mains] nominal}), the lower limit must be under the nominal voltage`},
	{"[mains] low", `low = "190 V"`,
		`@:7: low "190 V" in [mains] is under 85 % of nominal "230 V" in [mains] (line {[mains] nominal}), allowed is 195.5 V or more`},
	{"[mains] high", `high = "230 V"`,
		`@:8: high "230 V" in [mains] is not over nominal "230 V" in [mains] (line {[mains] nominal}), the upper limit must be over the nominal voltage`},
	{"[mains] high", `high = "260 V"`,
		`@:8: high "260 V" in [mains] is over 110 % of nominal "230 V" in [mains] (line {[mains] nominal}), allowed is 253 V or less`},
	{"[mains] frequency", `frequency = "55 Hz"`,
		`@:13: frequency "55 Hz" in [mains] is no mains frequency, allowed are 50 Hz and 60 Hz`},
	{"[mains] frequency", `frequency = "50 mHz"`,
		`@:13: frequency in [mains]: frequency "50 mHz" has the unknown unit "mHz", allowed are Hz and kHz, as in "40 kHz"`},
	{"[mains] outlet", `outlet = "6 A"`,
		`@:10: outlet "6 A" in [mains] is less than the 6.5 A that everything on takes (1500 W at 230 V), allowed is a larger outlet or less load`},
	{"[heater] power", `power = "100 W"`,
		`@:9: power "100 W" in [heater] is too small to be told apart at the meter from the tolerance of the banks, allowed is 177 W or more`},
	{"[heater] power", `power = "1 KW"`,
		`@:9: power in [heater]: power "1 KW" has the unknown unit "KW", allowed are W and kW, as in "1000 W"`},
	{"[[bank]] 2 draw", `draw = "810 W"`,
		`@:8: draw "810 W" in [[bank]] 2 is far from the 80 W that its emitters make with emitter "40 W" in [[bank]] 2 (line {[[bank]] 2 emitter}), allowed are 40 W to 160 W`},
	{"[[bank]] 2 draw+", `draw = "81 W"`,
		`@:1: the line "draw = \"81 W\"" is not TOML: key draw is already defined, allowed is as in limit = "62 degC"`},
	{"[[bank]] 2 draw", "draw",
		`@:5: the line "draw" is not TOML: expected '=' after key, allowed is as in limit = "62 degC"`},
	{"[[bank]] 3 emitters", "emitters = 2.5",
		"@:12: emitters 2.5 in [[bank]] 3 is not a whole number from 1 to 64, allowed is as in emitters = 1"},
	{"[[bank]] 3 emitters", `emitters = "2"`,
		`@:12: emitters "2" in [[bank]] 3 is not a whole number from 1 to 64, allowed is as in emitters = 1`},
	{"[[bank]] 3 frequency", `frequency = "40 MHz"`,
		`@:13: frequency in [[bank]] 3: frequency "40 MHz" has the unknown unit "MHz", allowed are Hz and kHz, as in "40 kHz"`},
	{"[[fan]] 2 minimum", `minimum = "2700 rpm"`,
		`@:11: minimum "2700 rpm" in [[fan]] 2 is not under nominal "2600 rpm" in [[fan]] 2 (line {[[fan]] 2 nominal}), a fan at its minimum must turn slower than usual`},
	{"[[fan]] 2 required", "required = 1",
		"@:12: required 1 in [[fan]] 2 is not a yes or no, allowed are true and false, without quotes"},
	{"[probe.bath_b] address", `address = "28-0000000a0001"`,
		`@:11: address "28-0000000a0001" in [probe.bath_b] is the same as address "28-0000000a0001" in [probe.bath_a] (line {[probe.bath_a] address}), each probe must have an address of its own`},
	{"[probe.bath_b] address", `address = "28-0000000A0001"`,
		`@:11: address "28-0000000A0001" in [probe.bath_b] is not that of a 1-Wire thermometer, allowed is as in "28-0123456789ab"`},
	{"[probe.bath_a] kind", `kind = "thermocouple"`,
		`@:8: kind "thermocouple" in [probe.bath_a] is not known, allowed are "1-Wire digital thermometer", "Pt100", "Pt1000" and "NTC thermistor"`},
	{"[probe.bath_a] kind", `kind = "Pt100"`,
		`{[probe.bath_a] bits}:8: bits 12 in [probe.bath_a] does not go with kind "Pt100" in [probe.bath_a] (line {[probe.bath_a] kind}), only a digital thermometer has bits: allowed is a file without them`},
	{"[probe.bath_a] bits", "bits = 13",
		"@:8: bits 13 in [probe.bath_a] is not a whole number from 9 to 12, allowed is as in bits = 9"},
	{"[meter] standby+", "pulses_per_kwh = 1000",
		`@:18: pulses_per_kwh 1000 in [meter] does not go with kind "Modbus RTU energy meter" in [meter], it gives no pulses: allowed is a file without it`},
	{"[meter] kind", `kind = "S0 pulse meter"`,
		"{[meter]}:1: pulses_per_kwh is missing in [meter], allowed is a whole number from 1 to 100000\n" +
			"{[meter] address}:11: address 1 in [meter] does not go with kind \"S0 pulse meter\" in [meter], a pulse meter has none: allowed is a file without it\n" +
			"{[meter] baud}:8: baud 9600 in [meter] does not go with kind \"S0 pulse meter\" in [meter], a pulse meter has none: allowed is a file without it\n" +
			"{[meter] parity}:10: parity \"even\" in [meter] does not go with kind \"S0 pulse meter\" in [meter], a pulse meter has none: allowed is a file without it\n" +
			"{[meter] volts}:9: volts true in [meter] does not go with kind \"S0 pulse meter\" in [meter] (line {[meter] kind}), a pulse meter tells watts alone: allowed is volts = false\n" +
			"{[[meter.register]] 1}:1: \"register\" in [meter] does not go with kind \"S0 pulse meter\" in [meter], a pulse meter has none: allowed is a file without it\n" +
			`{[[wiring]] 1}:1: signal "meter pulses" (pulse output of the meter) is on no line, one [[wiring]] for it must be there`},
	{"[meter] resolution", `resolution = "10 W"`,
		`@:14: resolution "10 W" in [meter] is too coarse to see a shortage of draw "81 W" in [[bank]] 1 (line {[[bank]] 1 draw}), allowed is 5.1 W or finer: a quarter of what a short bank lacks`},
	{"[meter] refresh", `refresh = "1 s"`,
		`{[timings] stagger}:11: stagger "2 s" in [timings] is too short to see one bank's step with refresh "1 s" in [meter] (line {[meter] refresh}), allowed is 2.3 s or more: two readings and 300 ms`},
	{"[meter] address", "address = 248",
		"@:11: address 248 in [meter] is not a whole number from 1 to 247, allowed is as in address = 1"},
	{"[meter] standby+", `max = "2 kW"`,
		`@:7: max "2 kW" in [meter] is under one and a half times the 1500 W of everything on, allowed is 2250 W or more`},
	{"[[meter.register]] 2 quantity", `quantity = "volts"`,
		"{[meter]}:1: [meter] has registers but none for watts, one with quantity \"watts\" must be there\n" +
			`@:12: quantity "volts" in [[meter.register]] 2 is the same as quantity "volts" in [[meter.register]] 1 (line {[[meter.register]] 1 quantity}), each quantity may have one register`},
	{"[[meter.register]] 1 quantity", `quantity = "amperes"`,
		`{[meter] volts}:9: volts true in [meter] has no register to be read from, allowed is one with quantity "volts", or volts = false`},
	{"[contacts] stop", "stop = false",
		"@:8: stop in [contacts] is false, the stop loop must be fitted: allowed is true"},
	{"[contacts] float", "",
		"{[contacts]}:1: float is missing in [contacts], allowed is true or false"},
	{"[limits] bath", `bath = "84 degC"`,
		`@:8: bath "84 degC" in [limits] is too near the 85 °C power-on value of kind "1-Wire digital thermometer" in [probe.bath_a] (line {[probe.bath_a] kind}), allowed is 83 °C or less`},
	{"[limits] bath", "bath = 70",
		`@:8: bath 70 in [limits] has no unit or no quotes, allowed is a temperature as in "45 degC"`},
	{"[limits] bath", `bath = "343.15"`,
		`@:8: bath in [limits]: temperature "343.15" has no unit, allowed are degC, °C, degF, °F and K, as in "45 degC"`},
	{"[limits] bath", "",
		"{[limits]}:1: bath is missing in [limits], allowed is a temperature from 30 °C to 90 °C"},
	{"[limits] cabinet_cool", `cabinet_cool = "60 degC"`,
		`@:16: cabinet_cool "60 degC" in [limits] is not under cabinet "55 degC" in [limits] (line {[limits] cabinet}), the cabinet must be cooler than its limit at the end of the run-on`},
	{"[limits] tach_silent", `tach_silent = "1500 rpm"`,
		`@:15: tach_silent "1500 rpm" in [limits] is not under minimum "1500 rpm" in [[fan]] 1 (line {[[fan]] 1 minimum}), a standing fan must not look like a turning one`},
	{"[limits] tach_silent", "",
		"{[limits]}:1: tach_silent is missing in [limits], allowed is a speed from 0 rpm to 2000 rpm"},
	{"[limits] bank_short", `bank_short = "0.75"`,
		`@:14: bank_short in [limits]: share "0.75" has no unit, allowed is %, as in "75 %"`},
	{"[limits] probe_rate", `probe_rate = "1 K"`,
		`@:14: probe_rate in [limits]: rate of temperature "1 K" has the unknown unit "K", allowed are K/s and K/min, as in "0.5 K/s"`},
	{"[limits] emission", `emission = "45 minutes"`,
		`@:12: emission in [limits]: time "45 minutes" has the unknown unit "minutes", allowed are ms, s, min and h, as in "1.5 h"`},
	{"[limits] emission", `emission = "10 h"`,
		`@:12: emission "10 h" in [limits] is out of range, allowed are 1 min to 8 h`},
	{"[timings] tick", `tick = "200 ms"`,
		`{[timings] deadline}:12: tick "200 ms" in [timings] (line {[timings] tick}) is not shorter than deadline "200 ms" in [timings], the order must be tick, deadline, lease, watchdog, hazard from short to long`},
	{"[timings] lease", `lease = "3 s"`,
		`{[timings] watchdog}:12: lease "3 s" in [timings] (line {[timings] lease}) is not shorter than watchdog "2 s" in [timings], the order must be tick, deadline, lease, watchdog, hazard from short to long`},
	{"[timings] watchdog", `watchdog = "5 s"`,
		`{[timings] hazard}:10: watchdog "5 s" in [timings] (line {[timings] watchdog}) is not shorter than hazard "5 s" in [timings], the order must be tick, deadline, lease, watchdog, hazard from short to long`},
	{"[timings] purge", `purge = "5 s 1 min"`,
		`@:9: purge in [timings]: time "5 s 1 min" does not go from whole longer parts to shorter ones, allowed is as in "8 min 20 s"`},
	{"[timings] watch", `watch = "2 s"`,
		`@:9: watch "2 s" in [timings] is too short for the 3 s of "heater will not stop" after the meter has settled, allowed is 4.8 s or more`},
	{"[timings] stagger", `stagger = "1 s"`,
		`@:11: stagger "1 s" in [timings] is too short to see one bank's step with refresh "500 ms" in [meter] (line {[meter] refresh}), allowed is 1.3 s or more: two readings and 300 ms`},
	{"[timings] run_on_least", `run_on_least = "30 min"`,
		`{[timings] run_on_most}:15: run_on_least "30 min" in [timings] (line {[timings] run_on_least}) is longer than run_on_most "20 min" in [timings], the least run-on must not be longer than the most`},
	{"[delays]+", `airflow_lost = "2 s"`,
		`@:16: airflow_lost "2 s" in [delays] is out of range, allowed are 0 s to 1 s`},
	{"[delays]+", `airflow_lots = "1 s"`,
		`@:1: key "airflow_lots" in [delays] is not known, the nearest allowed key is "airflow_lost"`},
	{"[delays]+", `Airflow_lost = "1 s"`,
		`@:1: key "Airflow_lost" in [delays] is not known, the nearest allowed key is "airflow_lost"`},
	{"[control] start", `start = "anywhere"`,
		`@:9: start "anywhere" in [control] is not known, allowed are "button" and "socket"`},
	{"[control] reset", `reset = true`,
		`@:9: reset true in [control] is not known, allowed are "button" and "socket"`},
	{"[control] confirm", `confirm = "1 s"`,
		`@:11: confirm "1 s" in [control] is out of range, allowed are 5 s to 5 min`},
	{"[[wiring]] 5 line", "line = 16",
		"@:8: line 16 in [[wiring]] 5 is the same line of the same chip as line 16 in [[wiring]] 4 (line {[[wiring]] 4 line}), each line may carry one signal"},
	{"[[wiring]] 5 line", "line = -1",
		"@:8: line -1 in [[wiring]] 5 is not a whole number from 0 to 511, allowed is as in line = 0"},
	{"[[wiring]] 5 signal", `signal = "bank 1"`,
		"{[[wiring]] 1}:1: signal \"bank 2\" (relay of driver 2, 2 emitters) is on no line, one [[wiring]] for it must be there\n" +
			`@:10: signal "bank 1" in [[wiring]] 5 is the same as signal "bank 1" in [[wiring]] 4 (line {[[wiring]] 4 signal}), each signal may be on one line`},
	{"[[wiring]] 5 signal", `signal = "bank 7"`,
		"{[[wiring]] 1}:1: signal \"bank 2\" (relay of driver 2, 2 emitters) is on no line, one [[wiring]] for it must be there\n" +
			`@:10: signal "bank 7" in [[wiring]] 5 is not one of this machine, the nearest allowed one is "bank 1"`},
	{"[[wiring]] 14 active", `active = "low"`,
		`@:10: active "low" in [[wiring]] 14 is not safe for "float switch": a broken wire or a failed read is low too, allowed is "high"`},
	{"[[wiring]] 14 active", `active = "High"`,
		`@:10: active "High" in [[wiring]] 14 is not known, allowed are "high" and "low"`},
	{"[[wiring]] 14 active+", `bias = "up"`,
		`@:8: bias "up" in [[wiring]] 14 is not safe for "float switch": a broken wire would read as closed or pressed, allowed are "down" and "off"`},
	{"[[wiring]] 20 active+", `bias = "up"`,
		`@:8: bias "up" in [[wiring]] 20 is not safe for "start button": a broken wire would read as closed or pressed, allowed are "down" and "off"`},
	{"[[wiring]] 5 active+", `bias = "off"`,
		`@:8: bias "off" in [[wiring]] 5 is on the output "bank 2", allowed is a bias on inputs alone`},
	{"[[wiring]] 14 active+", `bias = "pull-down"`,
		`@:8: bias "pull-down" in [[wiring]] 14 is not known, allowed are "up", "down" and "off"`},
	{"[[wiring]] 21 active+", "[board]\nwatchdog = \"watchdog\"",
		`{[board] watchdog}:12: watchdog "watchdog" in [board] is not a path that begins with a slash, allowed is as in "/dev/watchdog"`},
	{"[[wiring]] 21 active+", "[board]\npriority = 100",
		`{[board] priority}:12: priority 100 in [board] is not a whole number from 0 to 99, allowed is as in priority = 0`},
}

func TestWrongFiles(t *testing.T) {
	for _, c := range wrong {
		t.Run(c.place+" "+c.line, func(t *testing.T) {
			text := edited(t, c.place, c.line)
			place, after := strings.CutSuffix(c.place, "+")
			line := lineOf(t, demoText(t), place)
			if after {
				line++
			}
			var want []string
			for _, sentence := range strings.Split(expand(t, text, strings.ReplaceAll(c.want, "@", strconv.Itoa(line))), "\n") {
				want = append(want, "demo.toml:"+sentence)
			}
			m, err := Parse("demo.toml", []byte(text))
			assert.Nil(t, m)
			require.Error(t, err)
			if diff := cmp.Diff(want, strings.Split(err.Error(), "\n")); diff != "" {
				t.Errorf("wanted (-), said (+):\n%s", diff)
			}
			problems := tomlfile.Problems(nil)
			require.True(t, errors.As(err, &problems))
			assert.Len(t, problems, len(want))
		})
	}
}
