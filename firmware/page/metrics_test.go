package page

import (
	"encoding/json"
	"math"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/status"
	"bathtender/firmware/status/example"
)

// parsed is what an independent parser makes of a text: "name{label=value}" to
// value, and the types by family.
type parsed struct {
	Samples map[string]float64
	Types   map[string]string
	Units   map[string]string
}

// reader is run by Python: Debian's python3-prometheus-client has a strict parser
// of OpenMetrics.
const reader = `
import json, sys
from prometheus_client.openmetrics.parser import text_string_to_metric_families
samples, types, units = {}, {}, {}
for family in text_string_to_metric_families(sys.stdin.read()):
    types[family.name], units[family.name] = family.type, family.unit
    for s in family.samples:
        key = s.name + "{" + ",".join(k + "=" + v for k, v in sorted(s.labels.items())) + "}"
        assert key not in samples, key
        samples[key] = s.value
print(json.dumps({"samples": samples, "types": types, "units": units}))
`

func parse(t *testing.T, text string) (parsed, error) {
	t.Helper()
	python := ""
	for _, one := range []string{"/usr/bin/python3", "python3"} { // the package is for Debian's own
		if exec.Command(one, "-c", "import prometheus_client.openmetrics.parser").Run() == nil {
			python = one
			break
		}
	}
	if python == "" {
		needs(t, "the Python module prometheus_client", "python3-prometheus-client")
	}
	run := exec.Command(python, "-c", reader)
	run.Stdin = strings.NewReader(text)
	var said strings.Builder
	run.Stderr = &said
	out, err := run.Output()
	if err != nil {
		lines := strings.Split(strings.TrimSpace(said.String()), "\n")
		t.Log(lines[len(lines)-1])
		return parsed{}, err
	}
	var p parsed
	require.NoError(t, json.Unmarshal(out, &p))
	return p, nil
}

func TestAnIndependentParserReadsTheMetrics(t *testing.T) {
	v := example.Tripped()
	v.Machine = "a \"tank\"\nwith\\all \xff"
	v.Latched = append(v.Latched, status.Latch{Name: "bath high limit", Lockout: true})
	v.Loop.Late = 3
	p, err := parse(t, openMetrics(&word{view: v, fresh: true, silent: 300 * time.Millisecond}))
	require.NoError(t, err)
	for sample, want := range map[string]float64{
		"bathtender_up{}": 1, "bathtender_silence_seconds{}": 0.3,
		"bathtender_info{machine=a \"tank\"\nwith\\all \uFFFD,origin=synthetic,program=0.1.0}": 1,
		"bathtender_phase{bathtender_phase=run-on}":                                            1, "bathtender_phase{bathtender_phase=clean}": 0,
		"bathtender_session_left_seconds{}": 95,
		"bathtender_bath_celsius{probe=a}":  51.1, "bathtender_bath_celsius{probe=b}": 51.3,
		"bathtender_bath_limit_celsius{of=machine}": 70, "bathtender_cabinet_celsius{}": 22,
		"bathtender_mains_volts{}": 230.1, "bathtender_mains_watts{}": 14,
		"bathtender_bank_on{bank=1}": 0, "bathtender_bank_watts{bank=3}": 41, "bathtender_bank_baseline_watts{bank=3}": 80,
		"bathtender_bank_out_of_service{bank=3}": 1, "bathtender_bank_out_of_service{bank=4}": 0,
		"bathtender_fan_rpm{fan=2}": 90, "bathtender_fan_minimum_rpm{fan=2}": 1500,
		"bathtender_liquid_litres{}": 19.2, "bathtender_liquid_minimum_litres{}": 12,
		"bathtender_output_on{output=fans}": 1, "bathtender_output_on{output=heater}": 0,
		"bathtender_permit_given{permit=start}": 0, "bathtender_permit_given{permit=heater}": 1,
		"bathtender_trip_latched{function=airflow lost,latch=trip,place=fan 2}":  1,
		"bathtender_trip_latched{function=bath high limit,latch=lockout,place=}": 1,
		"bathtender_care_due{}": 1, "bathtender_journal_ok{}": 1, "bathtender_uptime_seconds{}": 4000,
		"bathtender_ticks_total{}": 40000, "bathtender_late_ticks_total{}": 3, "bathtender_worst_late_seconds{}": 0.0021,
		"bathtender_wake_late_seconds_bucket{le=0.001}": 39990, "bathtender_wake_late_seconds_bucket{le=0.01}": 40000,
		"bathtender_wake_late_seconds_bucket{le=+Inf}": 40000,
	} {
		got, ok := p.Samples[sample]
		assert.True(t, ok, "%q is missing", sample)
		assert.Equal(t, want, got, sample)
	}
	assert.NotContains(t, p.Samples, "bathtender_bath_limit_celsius{of=recipe}", "no recipe runs")
	assert.Equal(t, "counter", p.Types["bathtender_ticks"])
	assert.Equal(t, "stateset", p.Types["bathtender_phase"])
	assert.Equal(t, "histogram", p.Types["bathtender_wake_late_seconds"])
	assert.Equal(t, "celsius", p.Units["bathtender_bath_celsius"])
	assert.Equal(t, "rpm", p.Units["bathtender_fan_rpm"])
}

// The parser must be one that refuses what is wrong.
func TestTheIndependentParserIsStrict(t *testing.T) {
	good := openMetrics(&word{view: example.Idle(), fresh: true})
	_, err := parse(t, good)
	require.NoError(t, err)
	for what, bad := range map[string]string{
		"no end":              strings.TrimSuffix(good, "# EOF\n"),
		"a counter by itself": strings.ReplaceAll(good, "bathtender_ticks_total ", "bathtender_ticks "),
		"another unit":        strings.Replace(good, "# UNIT bathtender_fan_rpm rpm", "# UNIT bathtender_fan_rpm hertz", 1),
		"a quote too many":    strings.Replace(good, `probe="a"`, `probe="a""`, 1),
	} {
		_, err := parse(t, bad)
		assert.Error(t, err, what)
	}
}

func TestAWordThatIsMissingOrOddIsStillOpenMetrics(t *testing.T) {
	odd := example.Clean()
	nan, inf := math.NaN(), math.Inf(1)
	odd.Bath.A, odd.Bath.LimitMachine, odd.Uptime = &nan, inf, nan
	odd.Banks = append(odd.Banks, odd.Banks[0], status.Bank{Bank: -4}) // twice the same
	odd.Latched = append(odd.Latched, status.Latch{Name: "twice"}, status.Latch{Name: "twice"}, status.Latch{Name: "\n\"\\"})
	odd.Permits = append(odd.Permits, odd.Permits[0])
	odd.Loop.Lateness = []status.Count{{UpTo: 5, Ticks: 1}, {UpTo: 1, Ticks: 1}, {UpTo: nan, Ticks: 1}, {UpTo: 7, Ticks: 1}}
	for _, w := range []word{{}, {silent: time.Hour, why: "gone"}, {view: odd, fresh: true}, {view: status.View{}, fresh: true}} {
		_, err := parse(t, openMetrics(&w))
		assert.NoError(t, err)
	}
}

func TestMetricsHaveTheirContentType(t *testing.T) {
	r := newRig(t, example.Idle(), nil)
	answer, text := get(t, r.url+"/metrics", nil)
	assert.Equal(t, "application/openmetrics-text; version=1.0.0; charset=utf-8", answer.Header.Get("Content-Type"))
	assert.True(t, strings.HasSuffix(text, "\n# EOF\n"))
}
