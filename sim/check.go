package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"

	"bathtender/firmware/cli"
	"bathtender/hal/quantity"
	"bathtender/interlock"
	"bathtender/sim/hazard"
)

// check checks a machine file with its recipes, and prints what follows from it.
func check(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("check", flag.ContinueOnError)
	asJSON := s.Bool("json", false, "print the sizing sheet as JSON, and nothing else")
	words, err := flags(s, io.Out, args, 1, math.MaxInt)
	if err != nil {
		return err
	}
	c, err := loadCabinet(words[0], words[1:])
	if err != nil {
		if len(words) > 1 || c.recipes == nil {
			return err
		}
		// The built-in recipes are for the built-in tank; that another machine
		// cannot run one is no fault of its file.
		fmt.Fprintf(io.Err, "not every built-in recipe suits this machine:\n%s\n", err)
	}
	sizing := c.machine.Sizing(c.machine.UsualConditions())
	if *asJSON {
		e := json.NewEncoder(io.Out)
		e.SetIndent("", "  ")
		return e.Encode(&sizing)
	}
	fmt.Fprintf(io.Out, "%s: the machine file is in order, fingerprint %.12s\n\nSizing\n\n", c.machine.Name, c.machine.Fingerprint)
	fmt.Fprintln(io.Out, sizing.Text())
	fmt.Fprint(io.Out, "Protective functions, cause and effect\n\n")
	if err := interlock.WriteMatrix(io.Out, &c.config.Interlock); err != nil {
		return err
	}
	fmt.Fprintf(io.Out, "\nWiring\n\n%s\n", c.machine.WiringText())
	fmt.Fprint(io.Out, "Recipes\n\n")
	for _, file := range c.recipes {
		r := &file.Recipe
		sides := ""
		if r.Sides > 1 {
			sides = fmt.Sprintf(" a side, %d sides", r.Sides)
		}
		set := "unheated"
		if r.Set != 0 {
			set = quantity.FormatTemperature(r.Set)
		}
		fmt.Fprintf(io.Out, "  %-12s %s, limit %s: degas %s, clean %s%s\n", r.Name, set,
			quantity.FormatTemperature(r.Limit), quantity.FormatDuration(r.Degas), quantity.FormatDuration(r.Clean), sides)
	}
	fmt.Fprint(io.Out, "\n"+checkCautions)
	fmt.Fprint(io.Out, "\nWhat must cover each hazard when two things fail at once\n\n")
	for h := range hazard.Table {
		fmt.Fprintf(io.Out, "  %-26s %s\n", hazard.Table[h].Name, hazard.Table[h].Covered)
	}
	for _, risk := range c.machine.Control.Risks() {
		fmt.Fprint(io.Out, "\n"+risk)
	}
	if !c.machine.Contacts.HeatSwitches {
		fmt.Fprint(io.Out, "\n"+noHeatSwitches)
	}
	return nil
}

const noHeatSwitches = `  There are no thermal switches on the drivers' heat sinks. A blocked air inlet
  while the fans turn is then seen by nothing: it is the one fault which alone
  leads to a hazard. Wire one on each heat sink, in series with the stop buttons,
  and say heat_switches = true under [contacts].
`

const checkCautions = `Cautions

  This program is one layer of protection and replaces none of these: a fuse, a
  residual-current device, an earthed tank, a non-resettable thermal cut-off on
  the heater, and a main contactor, wired by a licensed electrician to the local
  code. Hot liquid scalds; keep hands out while anything is on.
`
