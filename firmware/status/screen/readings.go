package screen

import (
	"slices"
	"strings"

	"bathtender/firmware/status"
	"bathtender/firmware/status/wording"
	"bathtender/hal/quantity"
)

// drawReadings draws the readings against their limits.
func drawReadings(s *sheet, v *status.View) {
	b := &v.Bath
	s.tell(normal, "bath", "A "+wording.Number(b.A, 1, "°C")+", B "+wording.Number(b.B, 1, "°C")+"; set "+wording.Number(b.Set, 1, "°C")+
		"; limit "+wording.Number(b.Limit, 1, "°C")+", machine "+known(v, wording.Value(b.LimitMachine, 1, "°C")), 2)
	if b.ToSet != nil || b.AtEnd != nil {
		var parts []string
		if b.ToSet != nil {
			parts = append(parts, "set temperature in "+wording.Seconds(*b.ToSet))
		}
		if b.AtEnd != nil {
			parts = append(parts, "at the end of the clean about "+wording.Number(b.AtEnd, 1, "°C"))
		}
		s.tell(normal, "", strings.Join(parts, ", "), 1)
	}
	s.tell(normal, "permits", permits(v), 3)
	drawBanks(s, v)
	drawFans(s, v)
	liquid := wording.Litres(v) + ", minimum " + known(v, wording.Value(v.Liquid.Minimum, 1, "l")) + " in " + wording.Hours(v.Liquid.ToMinimum) + "; " +
		wording.LiquidAge(v)
	s.tell(normal, "liquid", liquid, 2)
	s.tell(normal, "cabinet", "air "+wording.Number(v.Cabinet.Air, 1, "°C")+", limit "+known(v, wording.Value(v.Cabinet.Limit, 1, "°C"))+
		"; mains "+wording.Number(v.Mains.Volts, 1, "V")+", "+wording.Number(v.Mains.Watts, 0, "W")+", "+wording.Number(v.Mains.Amperes, 2, "A")+
		", "+wording.Number(v.Mains.Hertz, 2, "Hz"), 2)
	s.tell(normal, "outputs", outputs(v), 1)
	if len(v.Contacts) > 0 {
		var parts []string
		for _, c := range v.Contacts {
			parts = append(parts, wording.Plain(c.Name)+" "+wording.Plain(c.State))
		}
		s.tell(normal, "contacts", strings.Join(parts, ", "), 2)
	}
	s.tell(normal, "journal", wording.Journal(v), 2)
}

// known returns a text where anything is known at all.
func known(v *status.View, text string) string {
	if v.Format == 0 {
		return wording.Unknown
	}
	return text
}

func permits(v *status.View) string {
	var given, withheld []string
	for i := range v.Permits {
		p := &v.Permits[i]
		why := wording.Why(p)
		if p.Given {
			given = append(given, wording.Plain(p.Name))
			continue
		}
		if slices.ContainsFunc(v.Permits[:i], func(q status.Permit) bool { return !q.Given && wording.Why(&q) == why }) {
			continue // named with the one before it
		}
		names := []string{}
		for n := i; n < len(v.Permits); n++ {
			if q := &v.Permits[n]; !q.Given && wording.Why(q) == why {
				names = append(names, wording.Plain(q.Name))
			}
		}
		text := quantity.List(names) + " WITHHELD"
		if why != "" {
			text += ": " + why
		}
		withheld = append(withheld, text)
	}
	if len(given) > 0 {
		withheld = append(withheld, "given: "+strings.Join(given, ", "))
	}
	if len(withheld) == 0 {
		return wording.Unknown
	}
	return strings.Join(withheld, "; ")
}

func outputs(v *status.View) string {
	if v.Format == 0 {
		return wording.Unknown
	}
	o := &v.Outputs
	return "contactor " + wording.OnOff(o.Contactor) + ", fans " + wording.OnOff(o.Fans) + ", heater " + wording.OnOff(o.Heater) +
		", sounder " + wording.OnOff(o.Sounder) + ", lamp " + wording.OnOff(o.Lamp)
}

// drawBanks draws each bank's watts as a bar that is full at its baseline.
func drawBanks(s *sheet, v *status.View) {
	rows := wording.Banks(v)
	if len(rows) == 0 {
		s.tell(normal, "banks", wording.Unknown, 1)
		return
	}
	var cells []string
	for i, r := range rows {
		name := pad(strings.TrimPrefix(r.Name, "bank "), 2)
		watts := strings.TrimSuffix(r.Watts, " W") + "/" + r.Baseline
		switch b := &v.Banks[i]; {
		case b.OutOfService:
			cells = append(cells, name+" OUT OF SERVICE, last "+watts)
		case len(rows) > 8: // three on a line, and no room for a bar
			cells = append(cells, name+" "+pad(r.State, 3)+" "+watts)
		case b.On:
			cells = append(cells, name+" on  "+bar(r.Share, 8)+" "+watts)
		default:
			cells = append(cells, name+" off "+bar(r.Share, 8)+" last "+watts)
		}
	}
	if len(rows) > 8 {
		s.cells("banks", cells, 3)
		return
	}
	s.cells("banks", cells, 2)
}

func drawFans(s *sheet, v *status.View) {
	rows := wording.Fans(v)
	if len(rows) == 0 {
		s.tell(normal, "fans", wording.Unknown, 1)
		return
	}
	var cells []string
	for _, r := range rows {
		cells = append(cells, strings.TrimPrefix(r.Name, "fan ")+" "+strings.TrimSuffix(r.Speed, " rpm")+"/"+r.Minimum+" "+r.State)
	}
	s.cells("fans", cells, 2)
}
