package page

import (
	"net/http"
	"strings"

	"bathtender/firmware/recipe"
	"bathtender/firmware/status"
)

// metricsType is the content type of OpenMetrics 1.0.
const metricsType = "application/openmetrics-text; version=1.0.0; charset=utf-8"

// metrics writes what a monitor of several tanks may want, as OpenMetrics text
// (draft-richih-opsawg-openmetrics-00, version 1.0). While there is no word from
// the program, only that is told: an old value is none.
func (s *server) metrics(w http.ResponseWriter, _ *http.Request) {
	now, _ := s.feed.now()
	w.Header().Set("Content-Type", metricsType)
	_, _ = w.Write([]byte(openMetrics(&now)))
}

func openMetrics(w *word) string {
	var e exposition
	e.family("up", "", "gauge", "Whether there is word from the program that runs the tank: 1 or 0.")
	e.put("", truth(w.fresh))
	e.family("silence_seconds", "seconds", "gauge", "Time since the last word from the program.")
	e.put("", w.silent.Seconds())
	if w.fresh {
		e.tank(&w.view)
		e.loop(&w.view)
	}
	e.text.WriteString("# EOF\n")
	return e.text.String()
}

// tank tells of bath, cabinet and liquid.
func (e *exposition) tank(v *status.View) {
	e.family("", "", "info", "The tank, and the version of the program.")
	e.put("_info", 1, "machine", v.Machine, "program", v.Program, "origin", v.Origin)
	e.family("phase", "", "stateset", "The phase of the session.")
	for p := recipe.Phase(0); p < recipe.PhaseCount; p++ {
		e.put("", truth(p.String() == v.Session.Phase), "bathtender_phase", p.String())
	}
	e.family("session_left_seconds", "seconds", "gauge", "Time until the fans stop.")
	if v.Session.LeftKnown {
		e.put("", v.Session.Left)
	}
	e.family("bath_celsius", "celsius", "gauge", "Temperature of the bath, by probe.")
	e.known(v.Bath.A, "probe", "a")
	e.known(v.Bath.B, "probe", "b")
	e.family("bath_limit_celsius", "celsius", "gauge", "Temperature limit of the running recipe and of the machine.")
	e.known(v.Bath.Limit, "of", "recipe")
	e.put("", v.Bath.LimitMachine, "of", "machine")
	e.family("cabinet_celsius", "celsius", "gauge", "Temperature of the cabinet's air.")
	e.known(v.Cabinet.Air)
	e.family("mains_volts", "volts", "gauge", "Mains voltage.")
	e.known(v.Mains.Volts)
	e.family("mains_watts", "watts", "gauge", "Power of the whole cabinet.")
	e.known(v.Mains.Watts)
	e.family("bank_on", "", "gauge", "Whether a bank is commanded on: 1 or 0.")
	for _, b := range v.Banks {
		e.put("", truth(b.On), "bank", number(b.Bank))
	}
	e.family("bank_watts", "watts", "gauge", "Power of a bank at the nominal voltage, as estimated last.")
	for _, b := range v.Banks {
		e.known(b.Watts, "bank", number(b.Bank))
	}
	e.family("bank_baseline_watts", "watts", "gauge", "Power that a bank should take.")
	for _, b := range v.Banks {
		e.put("", b.Baseline, "bank", number(b.Bank))
	}
	e.family("bank_out_of_service", "", "gauge", "Whether a bank has been taken out of service: 1 or 0.")
	for _, b := range v.Banks {
		e.put("", truth(b.OutOfService), "bank", number(b.Bank))
	}
	e.family("fan_rpm", "rpm", "gauge", "Speed of a fan.")
	for _, f := range v.Fans {
		e.known(f.Speed, "fan", number(f.Fan))
	}
	e.family("fan_minimum_rpm", "rpm", "gauge", "Least speed of a fan while the fans are on.")
	for _, f := range v.Fans {
		e.put("", f.Minimum, "fan", number(f.Fan))
	}
	e.family("liquid_litres", "litres", "gauge", "Liquid in the tank, from the heat balance.")
	e.known(v.Liquid.Litres)
	e.family("liquid_minimum_litres", "litres", "gauge", "Least liquid in the tank.")
	e.put("", v.Liquid.Minimum)
	e.family("output_on", "", "gauge", "Whether an output is driven: 1 or 0.")
	for _, o := range []struct {
		name string
		on   bool
	}{{"contactor", v.Outputs.Contactor}, {"fans", v.Outputs.Fans}, {"heater", v.Outputs.Heater}, {"sounder", v.Outputs.Sounder}, {"lamp", v.Outputs.Lamp}} {
		e.put("", truth(o.on), "output", o.name)
	}
	e.family("permit_given", "", "gauge", "Whether a permit is given: 1 or 0.")
	for _, p := range v.Permits {
		e.put("", truth(p.Given), "permit", p.Name)
	}
	e.family("trip_latched", "", "gauge", "1 for each protective function that waits for a reset.")
	for _, l := range v.Latched {
		function, place, _ := strings.Cut(l.Name, ", ")
		kind := "trip"
		if l.Lockout {
			kind = "lockout"
		}
		e.put("", 1, "function", function, "place", place, "latch", kind)
	}
	e.family("care_due", "", "gauge", "How many things of care are due.")
	e.put("", float64(len(v.Care)))
	e.family("journal_ok", "", "gauge", "Whether records can be written: 1 or 0.")
	e.put("", truth(v.Journal.OK))
}

// loop tells how the loop keeps its time.
func (e *exposition) loop(v *status.View) {
	e.family("uptime_seconds", "seconds", "gauge", "Time since the program's start.")
	e.put("", v.Uptime)
	e.family("ticks", "", "counter", "Ticks since the program's start.")
	e.put("_total", float64(v.Loop.Ticks))
	e.family("late_ticks", "", "counter", "Ticks over their deadline.")
	e.put("_total", float64(v.Loop.Late))
	e.family("worst_late_seconds", "seconds", "gauge", "The latest wake-up of the loop.")
	e.put("", v.Loop.Worst)
	e.lateness(v.Loop.Lateness)
}

func truth(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
