package gpiochip

import (
	"fmt"

	"golang.org/x/sys/unix"

	"bathtender/hal/quantity"
)

// info asks the kernel about one line of an open chip.
func (c Chip) info(fd int, l Line) (unix.GPIOV2LineInfo, error) {
	info := unix.GPIOV2LineInfo{Offset: uint32(l.Offset)}
	if err := ioctl(fd, unix.GPIO_V2_GET_LINEINFO_IOCTL, &info); err != nil {
		return info, fmt.Errorf("%s: the kernel does not say what it is: %w", c.place(l), err)
	}
	return info, nil
}

// place names a line in a message.
func (c Chip) place(l Line) string {
	return fmt.Sprintf("line %d of chip %v (%s)", l.Offset, c, l.Signal)
}

// inUse returns a sentence for each of the lines that somebody has.
func (c Chip) inUse(fd int, lines []Line) []error {
	var problems []error
	for _, l := range lines {
		info, err := c.info(fd, l)
		if err != nil {
			problems = append(problems, err)
			continue
		}
		if info.Flags&flagUsed == 0 {
			continue
		}
		by := "somebody who gave no name"
		if consumer := text(info.Consumer[:]); consumer != "" {
			by = quantity.Quote(consumer)
		}
		problems = append(problems, fmt.Errorf("%s is in use by %s", c.place(l), by))
	}
	return problems
}

// check compares what the kernel says of the lines with what was asked for.
func (c Chip) check(fd int, lines []Line, flags func(Line) uint64) []error {
	const compared = flagActiveLow | flagInput | flagOutput | flagEdgeRising | flagEdgeFalling
	var problems []error
	for _, l := range lines {
		info, err := c.info(fd, l)
		switch {
		case err != nil:
			problems = append(problems, err)
		case (info.Flags^flags(l))&compared != 0:
			problems = append(problems, fmt.Errorf("%s was taken as %s, and the kernel says that it is %s", c.place(l), wording(flags(l)), wording(info.Flags)))
		case text(info.Consumer[:]) != Consumer:
			problems = append(problems, fmt.Errorf("%s was taken, and the kernel says that %s has it", c.place(l), quantity.Quote(text(info.Consumer[:]))))
		}
	}
	return problems
}

// wording says in words what a line's flags are.
func wording(flags uint64) string {
	words := "an input"
	if flags&flagOutput != 0 {
		words = "an output"
	}
	if flags&flagActiveLow != 0 {
		words += ", active low"
	} else {
		words += ", active high"
	}
	if flags&flagEdgeRising != 0 {
		words += ", with edges"
	}
	if flags&flagEdgeFalling != 0 {
		words += " of both ways"
	}
	return words
}
