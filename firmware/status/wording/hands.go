package wording

import (
	"math"
	"strconv"

	"bathtender/firmware/status"
	"bathtender/hal/quantity"
)

// hot is the least temperature of the bath, in degrees Celsius, at which hands are
// told to stay out: from 43 on skin burns at a long contact, whatever it touches
// (ISO 13732-1, contact of 8 h, from memory).
const hot = 43

// Hands says whether hands must stay out of the bath, and why. It never says that
// the bath is safe: what the program does not know of, it cannot tell. A view in
// which nothing is known keeps hands out.
func Hands(v *status.View) (out bool, text string) {
	if why := handsOut(v); why != "" {
		return true, "HANDS OUT OF THE BATH: " + why
	}
	return false, "nothing is on and the bath has " + Value(hottest(v), 1, "°C") + ": pull the plug before you reach in"
}

func handsOut(v *status.View) string {
	var on []int
	for i := range v.Banks {
		if v.Banks[i].On {
			on = append(on, v.Banks[i].Bank)
		}
	}
	switch {
	case v.Format == 0:
		return "nothing is known of the tank"
	case len(on) > 0:
		return "emission from " + places("bank", on)
	case v.Session.Phase == "turn-over":
		return "a session runs, emission begins again with START"
	case v.Outputs.Lamp || v.Session.Phase != "run-on" && !Quiet(v):
		return "a session runs, emission can begin at any moment"
	case v.Session.Phase == "":
		return "what the tank is doing is not known"
	}
	for i := range v.Latched {
		if v.Latched[i].Lockout {
			return "a lockout waits to be seen to"
		}
	}
	switch t := hottest(v); {
	case !finite(t):
		return "how hot it is, is not known"
	case t >= hot:
		return "it has " + Value(t, 1, "°C") + ", hot liquid scalds"
	case v.Outputs.Heater:
		return "the heater is on"
	case v.Outputs.Contactor:
		return "the contactor is closed"
	}
	return ""
}

// hottest is the higher of the two probes, not a number where neither reads.
func hottest(v *status.View) float64 {
	t := math.NaN()
	for _, probe := range []*float64{v.Bath.A, v.Bath.B} {
		if known(probe) && !(t >= *probe) {
			t = *probe
		}
	}
	return t
}

// places names some of several: "bank 2", "banks 1 to 6", "banks 1, 2 and 4".
func places(thing string, list []int) string {
	if len(list) == 1 {
		return thing + " " + strconv.Itoa(list[0])
	}
	if n := len(list); n > 2 && list[n-1]-list[0] == n-1 {
		return thing + "s " + strconv.Itoa(list[0]) + " to " + strconv.Itoa(list[n-1])
	}
	var names []string
	for _, i := range list {
		names = append(names, strconv.Itoa(i))
	}
	return thing + "s " + quantity.List(names)
}
