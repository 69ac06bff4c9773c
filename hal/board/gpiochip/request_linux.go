package gpiochip

import (
	"errors"
	"fmt"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"

	"bathtender/hal/quantity"
)

// request is what is asked of a chip for some of its lines.
type request struct {
	lines    []Line
	flags    func(Line) uint64
	debounce time.Duration // 0 for none
	buffer   int           // edges that the kernel keeps, 0 for its own choice
}

// take asks the kernel for the lines and checks what it got. The error has a
// sentence for each line that cannot be had; nothing is held then.
func (c Chip) take(r request) (int, error) {
	if len(r.lines) == 0 || len(r.lines) > LinesMax {
		return -1, fmt.Errorf("%s of chip %v are asked for at once, allowed are 1 to %d", quantity.Count(len(r.lines), "line"), c, LinesMax)
	}
	chip, err := open(c.Path)
	if err != nil {
		return -1, err
	}
	defer unix.Close(chip)
	is, err := about(chip, c.Path)
	if err != nil {
		return -1, err
	}
	if is.Label != c.Label {
		return -1, fmt.Errorf("the GPIO chip at %s was %v and is now %v", c.Path, c, is)
	}
	var problems []error
	for _, l := range r.lines {
		if l.Offset < 0 || l.Offset >= is.Lines {
			problems = append(problems, fmt.Errorf("%s is not there, the chip has lines 0 to %d", c.place(l), is.Lines-1))
		}
	}
	if problems != nil {
		return -1, errors.Join(problems...)
	}
	ask, fits := r.encoded()
	if !fits {
		return -1, fmt.Errorf("%s of chip %v differ in too many ways for one request, allowed are %d ways", quantity.Count(len(r.lines), "line"), c, attributesMax)
	}
	if err := ioctl(chip, unix.GPIO_V2_GET_LINE_IOCTL, &ask); err != nil {
		return -1, c.refused(chip, r, err)
	}
	fd := int(ask.Fd)
	if problems := c.check(chip, r.lines, r.flags); problems != nil {
		unix.Close(fd)
		return -1, errors.Join(problems...)
	}
	return fd, nil
}

// refused says why the kernel did not give the lines.
func (c Chip) refused(chip int, r request, err error) error {
	if errors.Is(err, unix.EBUSY) {
		if problems := c.inUse(chip, r.lines); problems != nil {
			return errors.Join(problems...)
		}
	}
	what := fmt.Sprintf("%s of chip %v", quantity.Count(len(r.lines), "line"), c)
	if len(r.lines) == 1 {
		what = c.place(r.lines[0])
	}
	if errors.Is(err, unix.ENXIO) {
		return fmt.Errorf("%s cannot report edges: %w; allowed is a chip whose lines have interrupts, or a debounce of 0 s for contacts", what, err)
	}
	return fmt.Errorf("the kernel does not give %s: %w", what, err)
}

// attributesMax is how many attributes one request can have (linux/gpio.h).
const attributesMax = 10

// encoded returns the request as the kernel takes it, and whether its attributes
// are enough: lines whose flags differ share one with their like. Outputs and inputs
// always fit; edges of both ways, active low and of every bias mixed may not.
func (r *request) encoded() (ask unix.GPIOV2LineRequest, fits bool) {
	ask = unix.GPIOV2LineRequest{Num_lines: uint32(len(r.lines)), Event_buffer_size: uint32(r.buffer)}
	copy(ask.Consumer[:len(ask.Consumer)-1], Consumer)
	config := &ask.Config
	config.Flags = r.flags(r.lines[0])
	fits = true
	attribute := func(id uint32, mask, value uint64) {
		if config.Num_attrs == attributesMax {
			fits = false
			return
		}
		a := &config.Attrs[config.Num_attrs]
		a.Attr.Id, a.Attr.Flags, a.Mask = id, value, mask
		config.Num_attrs++
	}
	all := ^uint64(0) >> (64 - len(r.lines))
	var seen uint64
	for i, l := range r.lines {
		ask.Offsets[i] = uint32(l.Offset)
		flags := r.flags(l)
		if seen&(1<<i) != 0 || flags == config.Flags {
			continue
		}
		var mask uint64
		for j, other := range r.lines {
			if r.flags(other) == flags {
				mask |= 1 << j
			}
		}
		attribute(unix.GPIO_V2_LINE_ATTR_ID_FLAGS, mask, flags)
		seen |= mask
	}
	if config.Flags&flagOutput != 0 {
		attribute(unix.GPIO_V2_LINE_ATTR_ID_OUTPUT_VALUES, all, 0)
	}
	if r.debounce > 0 && fits {
		attribute(unix.GPIO_V2_LINE_ATTR_ID_DEBOUNCE, all, 0)
		// A 32 bit member of a union with the 64 bit one.
		microseconds := (*uint32)(unsafe.Pointer(&config.Attrs[config.Num_attrs-1].Attr.Flags))
		*microseconds = uint32(r.debounce.Microseconds())
	}
	return ask, fits
}

// inputFlags returns the flags of a line that is read.
func inputFlags(l Line) uint64 {
	flags := uint64(flagInput)
	if l.ActiveLow {
		flags |= flagActiveLow
	}
	switch l.Bias {
	case BiasOff:
		flags |= flagBiasOff
	case BiasUp:
		flags |= flagBiasUp
	case BiasDown:
		flags |= flagBiasDown
	}
	return flags
}

// outputFlags returns the flags of a line that is driven both ways.
func outputFlags(l Line) uint64 {
	if l.ActiveLow {
		return flagOutput | flagActiveLow
	}
	return flagOutput
}

// edgeFlags returns the flags of a line whose edges are reported.
func edgeFlags(l Line) uint64 {
	flags := inputFlags(l) | flagEdgeRising
	if l.Falling {
		flags |= flagEdgeFalling
	}
	return flags
}
