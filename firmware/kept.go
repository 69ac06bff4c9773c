package main

import (
	"strconv"
	"strings"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/journal"
	"bathtender/hal/quantity"
)

// kept tells what health and the lockouts keep from one run to the next.
func (p *page) kept(k *journal.Kept) {
	p.print("\nkept from one run to the next\n")
	locked := []string{}
	for _, l := range k.Lockouts {
		locked = append(locked, functionName(&journal.Trip{Function: l.Function, Place: l.Place}))
	}
	p.fact("lockouts", "%s", orNone(locked))
	r := k.Record
	if r == nil {
		return
	}
	var out []string
	for _, bank := range r.OutOfService {
		out = append(out, "bank "+strconv.Itoa(bank))
	}
	p.fact("out of service", "%s", orNone(out))
	p.fact("sessions", "%d", r.Sessions)
	l := &r.Liquid
	if l.Filled != 0 {
		p.fact("liquid filled", "on %s", journal.DayText(l.Filled))
	}
	if l.Emission != 0 {
		p.fact("emission since", "%s", quantity.FormatDuration(l.Emission.Duration()))
	}
	if l.Volume != 0 {
		p.fact("liquid", "%s", quantity.FormatVolume(l.Volume))
	}
	if l.ToppedUp != 0 {
		p.fact("topped up", "%s", quantity.FormatVolume(l.ToppedUp))
	}
	if len(r.Banks) == 0 {
		return
	}
	p.print("\n  %4s  %11s  %9s  %8s\n", "bank", "baseline, W", "last, W", "sessions")
	for i := range r.Banks {
		b := &r.Banks[i]
		baseline, last := "none yet", ""
		if b.Baseline != 0 {
			baseline = watts(b.Baseline)
		}
		if n := len(b.Recent); n > 0 {
			last = watts(b.Recent[n-1])
		}
		p.print("  %4d  %11s  %9s  %8d\n", b.Bank, baseline, last, b.Sessions)
	}
}

func watts(p physic.Power) string {
	return strconv.FormatFloat(float64(p)/float64(physic.Watt), 'f', 2, 64)
}

func orNone(list []string) string {
	if len(list) == 0 {
		return "none"
	}
	return strings.Join(list, ", ")
}
