package wording

import (
	"strconv"
	"strings"

	"bathtender/firmware/status"
)

// BankRow is one bank in words. Share is its watts in its baseline, from 0 on; it
// is below 0 where that is not known.
type BankRow struct {
	Name, State, Watts, Baseline, Difference string
	Share                                    float64
}

// Banks returns a row for each bank.
func Banks(v *status.View) []BankRow {
	var rows []BankRow
	for i := range v.Banks {
		b := &v.Banks[i]
		row := BankRow{Name: "bank " + strconv.Itoa(b.Bank), State: OnOff(b.On), Watts: Number(b.Watts, 0, "W"),
			Baseline: Value(b.Baseline, 0, "W"), Difference: Unknown, Share: -1}
		if b.OutOfService {
			row.State = "out of service"
		}
		if known(b.Watts) && finite(b.Baseline) && b.Baseline > 0 {
			row.Share = max(*b.Watts/b.Baseline, 0)
			if !finite(row.Share) {
				row.Share = -1
			}
			row.Difference = Value(*b.Watts-b.Baseline, 0, "W")
			if !strings.HasPrefix(row.Difference, "-") && row.Difference != "0 W" {
				row.Difference = "+" + row.Difference
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// FanRow is one fan in words. Low says that it is too slow for the fans being on.
type FanRow struct {
	Name, State, Speed, Minimum string
	Low                         bool
}

// Fans returns a row for each fan.
func Fans(v *status.View) []FanRow {
	var rows []FanRow
	for i := range v.Fans {
		f := &v.Fans[i]
		row := FanRow{Name: "fan " + strconv.Itoa(f.Fan), Speed: Number(f.Speed, 0, "rpm"), Minimum: Value(f.Minimum, 0, "rpm")}
		switch {
		case !known(f.Speed):
			row.State, row.Low = "no reading", v.Outputs.Fans
		case *f.Speed >= f.Minimum:
			row.State = "fast enough"
		case v.Outputs.Fans:
			row.State, row.Low = "TOO SLOW", true
		default:
			row.State = "off"
		}
		if !f.Required {
			row.State += ", not required"
		}
		rows = append(rows, row)
	}
	return rows
}

// OnOff is the word for an output.
func OnOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

// Litres says how much liquid there is: "19.2 l ± 0.8 l".
func Litres(v *status.View) string {
	text := Number(v.Liquid.Litres, 1, "l")
	if text != Unknown && known(v.Liquid.Band) {
		text += " ± " + Number(v.Liquid.Band, 1, "l")
	}
	return text
}

// LiquidAge says how old the liquid is: "12 days, 3.5 h of emission".
func LiquidAge(v *status.View) string {
	if v.Liquid.Days == nil {
		return "no fill noted"
	}
	days := strconv.Itoa(*v.Liquid.Days) + " days"
	if *v.Liquid.Days == 1 {
		days = "1 day"
	}
	return days + ", " + Value(v.Liquid.Emission, 1, "h") + " of emission"
}

// Why joins the reasons for which a permit is withheld.
func Why(p *status.Permit) string {
	var list []string
	for _, why := range p.Why {
		list = append(list, Plain(why))
	}
	return strings.Join(list, "; ")
}
