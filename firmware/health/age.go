package health

import (
	"fmt"
	"strings"
	"time"

	"bathtender/hal"
	"bathtender/hal/quantity"
)

// LiquidAge is what is kept of the liquid in the tank.
type LiquidAge struct {
	// Filled is the day of the fill, counted from 1 January 1970; 0 where it is
	// not known.
	Filled int32
	// EmissionSinceFill is how long emitters have been on in it.
	EmissionSinceFill time.Duration
	// ToppedUp is what was added since the fill, Volume the last estimate of
	// what there is, 0 where there is none.
	ToppedUp, Volume hal.Volume
}

// ChangeLimits are those after which the liquid is due for a change; 0 is no
// limit.
type ChangeLimits struct {
	Emission time.Duration
	Days     int
}

// ChangeDue is the liquid's age against its limits.
type ChangeDue struct {
	// Due is set where one of the limits is reached. What was topped up does
	// not put it off: the soil stays in the tank.
	Due    bool
	Limits ChangeLimits
	Age    LiquidAge
	// Days is how long ago the fill was; DaysKnown is false where no day of the
	// fill or of today is known, or the fill would be in the future. A limit of
	// days can then not be judged.
	Days      int
	DaysKnown bool
}

// Due holds the age against the limits on a day counted from 1 January 1970,
// 0 where it is not known.
func (a LiquidAge) Due(today int32, limits ChangeLimits) ChangeDue {
	d := ChangeDue{Limits: limits, Age: a}
	if a.Filled > 0 && today >= a.Filled {
		d.Days, d.DaysKnown = int(today-a.Filled), true
	}
	d.Due = d.byEmission() || d.byDays()
	return d
}

func (d *ChangeDue) byEmission() bool {
	return d.Limits.Emission > 0 && d.Age.EmissionSinceFill >= d.Limits.Emission
}

func (d *ChangeDue) byDays() bool {
	return d.Limits.Days > 0 && d.DaysKnown && d.Days >= d.Limits.Days
}

// Sentence returns the age and the limits in plain words.
func (d ChangeDue) Sentence() string {
	// Cut, not rounded: what is under the limit must not read as if it were not.
	emission := quantity.FormatDuration(d.Age.EmissionSinceFill.Truncate(time.Minute)) + " of emission"
	if d.Limits.Emission > 0 {
		emission += ", its limit is " + quantity.FormatDuration(d.Limits.Emission)
	}
	age := "an unknown number of days in the tank"
	if d.DaysKnown {
		age = days(d.Days) + " in the tank"
	}
	if d.Limits.Days > 0 {
		age += ", its limit is " + days(d.Limits.Days)
	}
	var text []string
	switch {
	case !d.Due:
		text = []string{"the liquid is not known to be due for a change: " + emission, age}
		if d.Limits.Days == 0 || d.DaysKnown {
			text[0] = "the liquid is not due for a change: " + emission
		}
	case !d.byDays():
		text = []string{"the liquid is due for a change: " + emission}
	case !d.byEmission():
		text = []string{"the liquid is due for a change: " + age}
	default:
		text = []string{"the liquid is due for a change: " + emission, age}
	}
	if d.Age.ToppedUp > 0 {
		text = append(text, quantity.FormatVolume(d.Age.ToppedUp)+" topped up since the fill")
	}
	return strings.Join(text, "; ")
}

func days(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}
