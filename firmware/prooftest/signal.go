package prooftest

import (
	"strings"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/status"
	"bathtender/hal"
	"bathtender/interlock"
)

// What the cabinet shows once a thing has been done. It is looked up in the readings
// alone, never in what the program makes of them.

// contact returns the state of a switch: "closed", "open" or "absent".
func contact(v *status.View, name string) string {
	for _, c := range v.Contacts {
		if strings.EqualFold(c.Name, name) {
			return c.State
		}
	}
	return ""
}

// opens is a switch that is not closed. One that is not shown at all says nothing.
func opens(name string) func(*status.View) bool {
	return func(v *status.View) bool {
		state := contact(v, name)
		return state != "" && state != "closed"
	}
}

// auxLost is an auxiliary contact that is open although the contactor is driven.
func auxLost(v *status.View) bool { return v.Outputs.Contactor && opens("contactor aux")(v) }

func probeOf(v *status.View, place int) *float64 {
	return [hal.MaxProbes]*float64{hal.BathA: v.Bath.A, hal.BathB: v.Bath.B, hal.Cabinet: v.Cabinet.Air}[place]
}

func probeGone(place int) func(*status.View) bool {
	return func(v *status.View) bool { return probeOf(v, place) == nil }
}

func probesApart(limit physic.Temperature) func(*status.View) bool {
	most := float64(limit) / float64(physic.Kelvin)
	return func(v *status.View) bool {
		a, b := v.Bath.A, v.Bath.B
		return a != nil && b != nil && (*a-*b > most || *b-*a > most)
	}
}

func meterGone(v *status.View) bool { return v.Mains.Watts == nil }

// IdleWatts is what a cabinet with its heater off must be under at the meter: halfway
// between standby with fans, and the heater besides.
func IdleWatts(config *interlock.Config) float64 {
	power := &config.Power
	return float64(power.Standby+power.Fans+power.Heater/2) / float64(physic.Watt)
}

// heaterGone is a heater that is driven and whose watts do not arrive: less than half
// of them over what the cabinet and its fans take.
func (p *planner) heaterGone() func(*status.View) bool {
	least := IdleWatts(p.config)
	return func(v *status.View) bool {
		return v.Outputs.Heater && v.Mains.Watts != nil && *v.Mains.Watts < least
	}
}

// fan returns a fan's speed in rpm, and whether the fan is shown at all.
func fan(v *status.View, place int) (speed *float64, shown bool) {
	for i := range v.Fans {
		if v.Fans[i].Fan == place+1 {
			return v.Fans[i].Speed, true
		}
	}
	return nil, false
}

// fanUnder is a fan that is driven and does not turn fast enough. With the fans off
// nothing can be seen of it.
func fanUnder(place int, minimum hal.RotationalSpeed) func(*status.View) bool {
	least := float64(minimum) / float64(hal.RPM)
	return func(v *status.View) bool {
		speed, shown := fan(v, place)
		return v.Outputs.Fans && shown && (speed == nil || *speed < least)
	}
}

func fanOver(place int, silent hal.RotationalSpeed) func(*status.View) bool {
	most := float64(silent) / float64(hal.RPM)
	return func(v *status.View) bool {
		speed, _ := fan(v, place)
		return speed != nil && *speed > most
	}
}
