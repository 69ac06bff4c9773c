package loop

import (
	"fmt"
	"io"
	"strconv"
	"time"

	"bathtender/hal/quantity"
)

// Bounds are those of the histogram of wake-ups; what is later than the last of
// them is counted apart.
var Bounds = [...]time.Duration{
	50 * time.Microsecond, 100 * time.Microsecond, 200 * time.Microsecond, 500 * time.Microsecond,
	time.Millisecond, 2 * time.Millisecond, 5 * time.Millisecond, 10 * time.Millisecond,
	20 * time.Millisecond, 50 * time.Millisecond, 100 * time.Millisecond, 200 * time.Millisecond,
}

// Lateness is how late the loop woke, tick by tick.
type Lateness struct {
	Ticks uint64
	// Counts are the wake-ups up to each of the Bounds, the last all above.
	Counts [len(Bounds) + 1]uint64
	Worst  time.Duration
	// Skipped counts the periods in which there was no tick because one before
	// took too long.
	Skipped uint64
	// Late counts the ticks that came later than the deadline after the one before.
	Late uint64
}

func (l *Lateness) count(late time.Duration) {
	l.Ticks++
	l.Worst = max(l.Worst, late)
	for i, bound := range Bounds {
		if late <= bound {
			l.Counts[i]++
			return
		}
	}
	l.Counts[len(Bounds)]++
}

// Print writes how late the loop woke as a table.
func (l *Lateness) Print(w io.Writer) {
	fmt.Fprintf(w, "%d ticks, %d over the deadline, %d skipped; woken at most %s late\n", l.Ticks, l.Late, l.Skipped, quantity.FormatDuration(l.Worst))
	for i, n := range l.Counts {
		switch {
		case n == 0:
		case i < len(Bounds):
			fmt.Fprintf(w, "  up to %-7s %d\n", bound(Bounds[i]), n)
		default:
			fmt.Fprintf(w, "  more          %d\n", n)
		}
	}
}

// bound writes a bound of the histogram, in milliseconds.
func bound(d time.Duration) string {
	return strconv.FormatFloat(float64(d)/float64(time.Millisecond), 'g', -1, 64) + " ms"
}
