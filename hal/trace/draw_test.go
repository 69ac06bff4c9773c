package trace

import (
	"time"

	"pgregory.net/rapid"

	"bathtender/hal"
)

// drawReading draws a reading, with an age only where there is a column for it.
func drawReading[Q ~int64](t *rapid.T, reading *hal.Reading[Q], name, ageName string, has map[string]bool) {
	if !has[name] || rapid.Bool().Draw(t, "absent "+name) {
		return
	}
	*reading = hal.Fresh(Q(anyInt64().Draw(t, name)))
	if has[ageName] {
		reading.Age = time.Duration(anyInt64().Draw(t, ageName))
	}
}

// drawRow draws any row that a trace of these columns holds.
func drawRow(t *rapid.T, names []string, banks int) Row {
	has := map[string]bool{}
	for _, name := range names {
		has[name] = true
	}
	var row Row
	row.Time = time.Duration(anyInt64().Draw(t, "time"))
	for i, name := range []string{"bath_a", "bath_b", "cabinet"} {
		drawReading(t, &row.Probes[i], name+"_degC", name+"_age_s", has)
	}
	drawReading(t, &row.Meter.Volts, "mains_V", "mains_V_age_s", has)
	drawReading(t, &row.Meter.Watts, "mains_W", "mains_W_age_s", has)
	drawReading(t, &row.Meter.Amperes, "mains_A", "mains_A_age_s", has)
	drawReading(t, &row.Meter.Frequency, "mains_Hz", "mains_Hz_age_s", has)
	for i, n := range []string{"1", "2", "3", "4", "5", "6", "7", "8"} {
		drawReading(t, &row.Fans[i], "fan_"+n+"_rpm", "fan_"+n+"_age_s", has)
	}
	contact := func(name string, at *hal.Contact) {
		if has[name] {
			*at = rapid.SampledFrom([]hal.Contact{hal.Absent, hal.Open, hal.Closed}).Draw(t, name)
		}
	}
	contact("level_ok", &row.Contacts.LevelOK)
	contact("lid_closed", &row.Contacts.LidClosed)
	contact("stop_closed", &row.Contacts.StopClosed)
	contact("leak_dry", &row.Contacts.LeakDry)
	contact("contactor_aux", &row.Contacts.ContactorAux)
	row.RecordOK = !has["record_ok"] || rapid.Bool().Draw(t, "record_ok")
	row.KeptOK = !has["kept_ok"] || rapid.Bool().Draw(t, "kept_ok")
	row.OutputsOK = !has["outputs_ok"] || rapid.Bool().Draw(t, "outputs_ok")
	if has["request"] {
		row.Request.Verb = rapid.SampledFrom([]hal.Verb{hal.None, hal.Start, hal.Stop, hal.Reset}).Draw(t, "verb")
		if row.Request.Verb == hal.Start {
			row.Request.Recipe = drawRecipe().Draw(t, "recipe")
		}
	}
	drawOutputs(t, &row, has, banks)
	if has["events"] {
		row.Events = drawRecipe().Draw(t, "events") // any text that a trace holds
	}
	return row
}

func drawOutputs(t *rapid.T, row *Row, has map[string]bool, banks int) {
	outputs := map[string]*bool{
		"out_contactor": &row.Outputs.Contactor, "out_fans": &row.Outputs.Fans, "out_heater": &row.Outputs.Heater,
		"out_heartbeat": &row.Outputs.Heartbeat, "out_watchdog": &row.Outputs.FeedWatchdog,
		"out_sounder": &row.Outputs.Sounder, "out_lamp": &row.Outputs.Lamp,
	}
	any := has["out_banks"]
	for name := range outputs {
		any = any || has[name]
	}
	if !any || rapid.Bool().Draw(t, "no outputs") {
		return
	}
	row.HasOutputs = true
	for _, name := range []string{"out_contactor", "out_fans", "out_heater", "out_heartbeat", "out_watchdog", "out_sounder", "out_lamp"} {
		if has[name] {
			*outputs[name] = rapid.Bool().Draw(t, name)
		}
	}
	if has["out_banks"] {
		row.Outputs.Banks = hal.Banks(rapid.Uint16Range(0, uint16(hal.FirstBanks(banks))).Draw(t, "out_banks"))
	}
}

// drawRecipe draws names that need care in CSV as often as others.
func drawRecipe() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.SampledFrom([]string{"slides", "", " ", "a,b", `a"b`, `"`, `""`, "a\nb", "\n", "stop", "grün, \"fein\"\n", `\.`}),
		rapid.StringMatching("[a-z ,\"\n\\\\]{0,12}"),
	)
}

// drawColumns draws some columns in any order that make a trace.
func drawColumns(t *rapid.T) []string {
	picked := map[string]bool{"time_s": true}
	for i := range columns {
		c := &columns[i]
		if c.reading == "" && rapid.Bool().Draw(t, c.name) {
			picked[c.name] = true
		}
	}
	for i := range columns {
		c := &columns[i]
		if picked[c.reading] && rapid.Bool().Draw(t, c.name) {
			picked[c.name] = true
		}
	}
	var names []string
	for i := range columns {
		if picked[columns[i].name] {
			names = append(names, columns[i].name)
		}
	}
	return rapid.Permutation(names).Draw(t, "order")
}
