package record

import (
	"fmt"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/sim/report"
)

// cautions stand on every report's page.
var cautions = []string{
	"A simulation shows what this program would do in a modelled cabinet. It does not show that a real one is safe.",
	"The program is one layer of protection. A fuse, a residual-current device, an earthed tank, a non-resettable thermal cut-off and a contactor are wired by a licensed electrician, to the local code.",
	"Hot liquid scalds, ultrasound harms hands in the bath and its noise the ears, vapour of solvents burns. Water-based liquids only.",
}

// sheet lays the curves out: what decides first.
func (r *Recorder) sheet() report.Sheet {
	limits := &r.machine.Limits
	bath := report.Panel{Title: "Bath", Unit: "°C", Lines: []report.Line{{Name: "probe A", Track: r.bath[0]}}}
	if r.machine.Probes[hal.BathB].Fitted {
		bath.Lines = append(bath.Lines, report.Line{Name: "probe B", Track: r.bath[1]})
	}
	if r.atEnd.Readings() > 0 {
		bath.Lines = append(bath.Lines, report.Line{Name: "end of clean, foreseen", Track: r.atEnd})
	}
	if r.limit > 0 {
		bath.Limits = append(bath.Limits, report.Limit{Label: fmt.Sprintf("recipe limit %.0f °C", celsius(r.limit)), Value: celsius(r.limit)})
	}
	bath.Limits = append(bath.Limits, report.Limit{Label: fmt.Sprintf("machine limit %.0f °C", celsius(limits.Bath)), Value: celsius(limits.Bath)})

	watts := report.Panel{Title: "Mains", Unit: "W", FromZero: true, Lines: []report.Line{{Name: "meter", Track: r.watts}}}
	fans := report.Panel{Title: "Fans", Unit: "rpm", FromZero: true}
	for i, track := range r.fans {
		fans.Lines = append(fans.Lines, report.Line{Name: fmt.Sprintf("fan %d", i+1), Track: track})
	}
	if len(r.machine.Fans) > 0 {
		least := float64(r.machine.Fans[0].Minimum) / float64(hal.RPM)
		fans.Limits = []report.Limit{{Label: fmt.Sprintf("minimum %.0f rpm", least), Value: least}}
	}
	panels := []report.Panel{bath, watts}
	if banks, ok := r.bankPanel(); ok {
		panels = append(panels, banks)
	}
	if litres, ok := r.litrePanel(); ok {
		panels = append(panels, litres)
	}
	panels = append(panels, fans)
	if r.machine.Probes[hal.Cabinet].Fitted {
		panels = append(panels, report.Panel{Title: "Cabinet air", Unit: "°C",
			Lines:  []report.Line{{Name: "cabinet probe", Track: r.cabinet}},
			Limits: []report.Limit{{Label: fmt.Sprintf("limit %.0f °C", celsius(limits.Cabinet)), Value: celsius(limits.Cabinet)}}})
	}
	if r.hasTruth {
		panels = append(panels, report.Panel{Title: "What no sensor shows", Unit: "°C", Lines: []report.Line{
			{Name: "hottest winding", Track: r.winding}, {Name: "heater plate", Track: r.plate}, {Name: "hottest joint", Track: r.joint},
		}})
	}
	outputs := []report.Output{{Name: "contactor", Bars: r.contactor}, {Name: "fans", Bars: r.fansOn}, {Name: "heater", Bars: r.heater}}
	for i, bars := range r.banks {
		outputs = append(outputs, report.Output{Name: fmt.Sprintf("bank %d", i+1), Bars: bars})
	}
	return report.Sheet{Panels: panels, Phases: r.phases, Outputs: outputs, Marks: r.marks, Start: r.from, End: r.to}
}

// bankPanel is the watts of each bank, as health credits them.
func (r *Recorder) bankPanel() (report.Panel, bool) {
	panel := report.Panel{Title: "Watts by bank", Unit: "W", FromZero: true}
	known := false
	for i, track := range r.bankWatts {
		known = known || track.Readings() > 0
		panel.Lines = append(panel.Lines, report.Line{Name: fmt.Sprintf("bank %d", i+1), Track: track})
	}
	if !known {
		return panel, false
	}
	base := float64(r.machine.Banks[0].Draw) / float64(physic.Watt)
	short := base * float64(r.machine.Limits.BankShort) / 1000
	panel.Limits = []report.Limit{
		{Label: fmt.Sprintf("baseline %.0f W", base), Value: base},
		{Label: fmt.Sprintf("short under %.0f W", short), Value: short},
	}
	return panel, true
}

// litrePanel is the liquid by heat balance with its band, beside the truth
// where there is one.
func (r *Recorder) litrePanel() (report.Panel, bool) {
	panel := report.Panel{Title: "Liquid", Unit: "l", Lines: []report.Line{
		{Name: "by heat balance", Track: r.litres},
		{Name: "95 % band, low", Track: r.least}, {Name: "95 % band, high", Track: r.most},
	}}
	if r.hasTruth {
		panel.Lines = append(panel.Lines, report.Line{Name: "in truth", Track: r.truly})
	}
	least := float64(r.machine.Volume(r.machine.Tank.Minimum)) / float64(hal.Litre)
	panel.Limits = []report.Limit{{Label: fmt.Sprintf("minimum %.1f l", least), Value: least}}
	return panel, r.litres.Readings() > 0
}
