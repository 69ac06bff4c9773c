package bench

import (
	"fmt"
	"io"
	"slices"
)

// Topic is one word of the language with what there is to know about it.
type Topic struct {
	Word  string
	Forms []string // how it is written
	About string   // one line
}

// Topics are the statements of the language, in the order of help.
var Topics = []Topic{
	{"set", []string{"set READING VALUE", "set READING VALUE old TIME", "set READING VALUE ageing", "set READING nothing", "set CONTACT open|closed|absent", "set journal|kept|outputs good|bad"},
		"puts a reading, a dummy load or a contact where you say; ageing lets it grow older with time; nothing is no reading"},
	{"ramp", []string{"ramp READING to VALUE in TIME"}, "turns a reading or a load evenly, while time passes"},
	{"follow", []string{"follow READING", "follow mains at VOLTS"}, "gives it back to what a healthy cabinet shows"},
	{"start", []string{"start RECIPE"}, "presses START for a tick and lets go: two ticks pass, three for a program that has just started"},
	{"stop", []string{"stop"}, "presses STOP for a tick and lets go"},
	{"reset", []string{"reset"}, "presses RESET for a tick and lets go"},
	{"hold", []string{"hold reset for TIME", "hold stop for TIME", "hold start RECIPE for TIME"}, "holds a button down; it is let go at the next tick"},
	{"wait", []string{"wait TIME", "wait until EXPECTATION, EXPECTATION within TIME"}, "lets time pass, tick by tick; without within it waits for an hour at most"},
	{"late", []string{"late TIME"}, "lets one tick pass, which comes so much too late"},
	{"restart", []string{"restart", "restart after TIME"}, "kills the program and starts it anew with what was kept"},
	{"expect", []string{"expect EXPECTATION, EXPECTATION",
		"  contactor|fans|heater|emission|sounder|lamp|bank N on|off", "  watchdog fed|unfed",
		"  permit contactor|heater|emission|start|bank N given|withheld", "  phase NAME",
		"  tripped|held|first-out \"FUNCTION\" PLACE", "  no trip|hold|first-out", "  delay \"FUNCTION\" PLACE at TIME",
		"  said \"SENTENCE\"", "  not EXPECTATION"},
		"says what must be so now; * in a sentence stands for any text, and it must have been said since time last passed"},
	{"show", []string{"show"}, "the whole bench on one screen; a star marks what you have set"},
	{"explain", []string{"explain", "explain all"}, "what the protective functions find, and why; without all those alone that are not clear"},
	{"help", []string{"help", "help WORD"}, "this list, or one word of it"},
	{"history", []string{"history"}, "the statements so far"},
	{"quit", []string{"quit"}, "ends; so does the end of the input"},
	{"use", []string{"use machine \"FILE\"", "use recipe \"FILE\""}, "says what to put on the bench, before every other statement"},
}

// helping is help.
type helping struct{ word string }

func (r *reader) help() (action, error) {
	if r.at >= len(r.words) {
		return helping{}, nil
	}
	word, err := r.one("statement", statementWords...)
	return helping{word}, err
}

func (h helping) do(s *Session, _ Place) error { return writeHelp(s.Out, s.Bench, h.word) }

func writeHelp(w io.Writer, b *Bench, word string) error {
	for _, t := range Topics {
		if word != "" && t.Word != word {
			continue
		}
		if word == "" {
			if _, err := fmt.Fprintf(w, "  %-8s %s\n", t.Word, t.About); err != nil {
				return err
			}
			continue
		}
		for _, form := range t.Forms {
			if _, err := fmt.Fprintf(w, "  %s\n", form); err != nil {
				return err
			}
		}
		if _, err := fmt.Fprintf(w, "%s\n", t.About); err != nil {
			return err
		}
	}
	if slices.Contains([]string{"", "set", "ramp", "follow"}, word) {
		if _, err := fmt.Fprintf(w, "readings and loads of this machine: %s\n", b.names()); err != nil {
			return err
		}
	}
	return nil
}

// history is the statement history.
type history struct{}

func (history) do(s *Session, _ Place) error {
	for i, text := range s.done {
		if _, err := fmt.Fprintf(s.Out, "%4d  %s\n", i+1, text); err != nil {
			return err
		}
	}
	return nil
}

// quit is the statement quit.
type quit struct{}

func (quit) do(*Session, Place) error { return errQuit }
