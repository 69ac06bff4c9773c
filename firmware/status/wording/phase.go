package wording

import (
	"strconv"

	"bathtender/firmware/status"
)

// Phase says what the tank is doing: `clean, side 1 of 2`.
func Phase(v *status.View) string {
	s := &v.Session
	text := Plain(s.Phase)
	if s.Sides > 1 && s.Side > 0 {
		text += ", side " + strconv.Itoa(s.Side) + " of " + strconv.Itoa(s.Sides)
	}
	if s.RollCall > 0 {
		text += ", roll-call without bank " + strconv.Itoa(s.RollCall)
	}
	return text
}

// Recipe names the recipe that runs, or the one that waits for the START button;
// empty where neither is to be expected.
func Recipe(v *status.View) string {
	switch {
	case v.Session.Recipe != "":
		return `recipe "` + Plain(v.Session.Recipe) + `"`
	case v.Selected != nil:
		return `recipe "` + Plain(v.Selected.Recipe) + `" is selected and waits for START, ` + Seconds(v.Selected.Left) + " more"
	}
	if v.Session.Phase != "idle" {
		return ""
	}
	return "no recipe selected"
}

// Origin warns where the readings are not those of a tank; empty where they are.
func Origin(v *status.View) string {
	if v.Origin == "tank" || v.Format == 0 {
		return ""
	}
	return "NOT A TANK: " + Plain(v.Origin)
}

// Quiet reports whether nothing runs, as far as is known.
func Quiet(v *status.View) bool { return v.Session.Phase == "idle" || v.Session.Phase == "" }

// Left says how long still: `7 min 20 s left in clean, all off in 19 min`. It is
// empty while nothing runs.
func Left(v *status.View) string {
	s := &v.Session
	switch {
	case Quiet(v):
		return ""
	case !s.LeftKnown:
		return "the time left is not known yet"
	case s.Phase == "run-on":
		return "fans stop in " + Seconds(s.Left)
	}
	return Seconds(s.PhaseLeft) + " left in " + Plain(s.Phase) + ", all off in " + Seconds(s.Left)
}

// Progress is the share of the session that is done, from 0 to 1; false while
// nothing runs or it is not known.
func Progress(v *status.View) (float64, bool) {
	p := v.Session.Progress
	if Quiet(v) || !finite(p) {
		return 0, false
	}
	return min(max(p, 0), 1), true
}
