package prooftest

import (
	"fmt"
	"strings"
	"time"

	"bathtender/firmware/status"
)

const (
	// startMost is how long from a start to the heater.
	startMost = 12 * time.Minute
	// freeMost is how long the start may be withheld: fans that have just been
	// switched off must come to rest first. retryAfter is from one try of it to the
	// next, showMost how long what was asked may take to show.
	freeMost   = 2 * time.Minute
	retryAfter = 3 * time.Second
	showMost   = 2 * time.Second
)

// chooseRecipe asks for a recipe where none was named.
func (w *Walk) chooseRecipe() (why string, err error) {
	for _, name := range w.view.Recipes {
		if w.Recipe == name {
			return "", nil
		}
	}
	if len(w.view.Recipes) == 0 {
		return "the program has no recipe to start", nil
	}
	if w.Recipe != "" {
		w.Talk.Say("   The program has no recipe %q.", w.Recipe)
	}
	if w.Recipe = w.Talk.Choose("   Which recipe heats the bath from where it is now?", w.view.Recipes); w.Recipe == "" {
		return "", errEnded
	}
	return "", nil
}

// start starts the recipe.
func (w *Walk) start() (why string, err error) {
	if why, err := w.chooseRecipe(); why != "" || err != nil {
		return why, err
	}
	if why, err := w.askStart(); why != "" || err != nil {
		return why, err
	}
	if w.underway() {
		return "", nil
	}
	begun, err := w.until(pressMost, func(*status.View) bool { return w.underway() })
	if err == nil && !begun {
		why = "no session began"
	}
	return why, err
}

// askStart asks for a start, once one is permitted, and says when the machine wants
// its button for it.
func (w *Walk) askStart() (why string, err error) {
	free, err := w.until(freeMost, func(v *status.View) bool { return len(withheld(v, "start")) == 0 })
	switch {
	case err != nil:
		return "", err
	case !free:
		return "no session may start: " + strings.Join(withheld(w.view, "start"), "; "), nil
	}
	var text string
	for end := w.view.Uptime + freeMost.Seconds(); ; {
		// Right after idle a start may still be refused: the fans must come to rest.
		if text, err = w.Watcher.Ask("start", w.Recipe); err == nil {
			break
		}
		if w.view.Uptime >= end {
			return fmt.Sprintf("the session could not be started: %s", err), nil
		}
		if _, err := w.until(retryAfter, func(*status.View) bool { return false }); err != nil {
			return "", err
		}
	}
	if text != "" {
		w.Talk.Say("   %s", text)
	}
	shown, err := w.until(showMost, func(v *status.View) bool { return v.Selected != nil || w.underway() })
	if err == nil && shown && w.view.Selected != nil && !w.underway() {
		w.Talk.Say("   Press the START button at the cabinet.")
	}
	return "", err
}

// withheld says why a permit is withheld; nothing where it is given.
func withheld(v *status.View, name string) []string {
	for _, p := range v.Permits {
		if p.Name == name && !p.Given {
			return append(p.Why, "its permit is withheld")[:max(len(p.Why), 1)]
		}
	}
	return nil
}

// heat starts a session and waits for its heater.
func (w *Walk) heat() (why string, err error) {
	if why, err := w.start(); why != "" || err != nil {
		return why, err
	}
	w.Talk.Say("   Wait: the session has begun, and the heater comes on next.")
	_, err = w.until(startMost, func(v *status.View) bool {
		return v.Outputs.Contactor && v.Outputs.Heater || v.Session.Phase != "purge" && v.Session.Phase != "preheat"
	})
	v := w.view
	switch {
	case err != nil:
		return "", err
	case v.Outputs.Contactor && v.Outputs.Heater:
		return "", nil
	case w.underway():
		_, _ = w.Watcher.Ask("stop", "")
		return "the heater did not come on: the bath is warm enough for this recipe; let it cool, or name a hotter one with -recipe", nil
	case v.FirstOut != nil:
		return "the session ended before the heater came on: " + v.FirstOut.Text, nil
	}
	return "the session ended before the heater came on", nil
}
