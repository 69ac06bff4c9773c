package machine

import (
	"fmt"
	"strings"
	"time"

	"bathtender/hal/quantity"
)

// Text returns the sheet as two aligned columns of at most 80 characters.
func (s *Sizing) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Sizing of %q\n", s.Name)
	b.WriteString(wrap("For "+s.Basis+".", 78, "") + "\n")
	row := func(label, format string, args ...any) {
		fmt.Fprintf(&b, "%-34s%s\n", label, fmt.Sprintf(format, args...))
	}
	row("fill", "%.1f l (%.1f US gal), %.1f kg", s.FillLitres, s.FillGallons, s.FillKilograms)
	row("minimum, full to the brim", "%.1f l, %.1f l", s.MinimumLitres, s.BrimLitres)
	if s.DetergentMillilitres > 0 {
		row("detergent for a fill", "%.0f ml", s.DetergentMillilitres)
	} else {
		row("detergent for a fill", "none")
	}
	b.WriteString("\n")
	row("emitters", "%.0f W: %.1f W/l, %.0f W per US gal", s.EmitterWatts, s.WattsPerLitre, s.WattsPerGallon)
	row("", "%s", s.rule())
	row("", "%.2f W/cm2 of floor", s.LoadingWattsPerCM2)
	row("emission alone warms the bath by", "%.0f K an hour at first", s.EmissionKelvinPerHour)
	row("and levels off at", "%.0f °C open, %.0f °C lidded", s.EmissionOpenCelsius, s.EmissionLiddedCelsius)
	b.WriteString("\n")
	if s.HeaterWatts > 0 {
		row("heater", "%.0f W", s.HeaterWatts)
		row("heat-up time without losses", "%s", seconds(s.HeatUpLosslessSeconds))
		row("with losses", "%s lidded, %s open", seconds(s.HeatUpLiddedSeconds), seconds(s.HeatUpOpenSeconds))
	} else {
		row("heater", "none")
	}
	row("losses of the warm bath", "%.0f W lidded, %.0f W open", s.LossLiddedWatts, s.LossOpenWatts)
	row("evaporation of the warm bath", "%.2f l/h lidded, %.2f l/h open", s.EvaporationLiddedLitres, s.EvaporationOpenLitres)
	row("from fill to minimum", "%s lidded, %s open", hours(s.HoursToMinimumLidded), hours(s.HoursToMinimumOpen))
	b.WriteString("\n")
	row("everything on", "%.0f W, %.1f A of the outlet's %.0f A", s.LoadWatts, s.LoadAmperes, s.OutletAmperes)
	row("at the highest mains", "%.1f A", s.LoadAmperesHighest)
	b.WriteString("\n" + wrap("Watts per litre follow a common rule of 100 W per US gallon for bench tanks, "+
		"which asks less of larger ones. Losses above 40 °C are extrapolated: take them for a half to twice what is printed.", 78, ""))
	return b.String()
}

// rule compares with the common rule, in words.
func (s *Sizing) rule() string {
	return fmt.Sprintf("common rule: %.0f W, this is %.0f %% of it", s.RuleWatts, 100*ratio(s.EmitterWatts, s.RuleWatts))
}

// seconds shows a time, from 10 minutes on to the minute; 0 is never.
func seconds(s float64) string {
	if s <= 0 {
		return "never"
	}
	if s > 1000*3600 {
		return "over 1000 h"
	}
	d := time.Duration(s) * time.Second
	if d >= 10*time.Minute {
		d = d.Round(time.Minute)
	}
	return quantity.FormatDuration(d)
}

func hours(h float64) string {
	if h <= 0 {
		return "never"
	}
	if h < 10 {
		return fmt.Sprintf("%.1f h", h)
	}
	return fmt.Sprintf("%.0f h", h)
}
