package main

import (
	"flag"
	"fmt"

	"bathtender/firmware/care"
	"bathtender/firmware/cli"
	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/hal/quantity"
)

const doseMore = `Without LITRES it is the machine file's usual fill, and what fills it up again from
the minimum. LITRES is a plain number, as in 2.5.

Only water evaporates: what evaporation has taken is topped up with water alone. What
went out with the parts or was spilled is topped up with the mixture.`

// dose says how much concentrate and water make a bath.
func dose(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("dose", flag.ContinueOnError)
	file := s.String("machine", usualMachine, "machine `FILE`")
	words, err := program().Flags(s, io.Out, args, 0, 1)
	if err != nil {
		return err
	}
	litres := 0.0
	if len(words) > 0 {
		if litres, err = parseLitres(words[0]); err != nil {
			return cli.UsageError(err.Error())
		}
	}
	m, err := machine.Load(*file)
	if err != nil {
		return err
	}
	parts := m.Liquid.Water
	if parts > 0 {
		fmt.Fprintf(io.Out, "%s, one part of concentrate to %d of water\n", m.Name, parts)
	} else {
		fmt.Fprintf(io.Out, "%s, water alone: the machine file states no dilution\n", m.Name)
	}
	if len(words) > 0 {
		fmt.Fprintln(io.Out, care.DoseOf(hal.Volume(litres*float64(hal.Litre)+0.5), parts).Sentence())
		return nil
	}
	fill, minimum := m.Volume(m.Tank.Fill), m.Volume(m.Tank.Minimum)
	fmt.Fprintf(io.Out, "a fill                        %s\n", care.DoseOf(fill, parts).Sentence())
	fmt.Fprintf(io.Out, "from the minimum, evaporated  %s of water alone\n", quantity.FormatVolume(fill-minimum))
	if parts > 0 {
		fmt.Fprintf(io.Out, "from the minimum, carried out %s\n", care.DoseOf(fill-minimum, parts).Sentence())
	}
	return nil
}
