package page

import (
	"math"
	"strconv"
	"strings"

	"bathtender/firmware/status"
)

// exposition is a text of metrics that is being written, one family after another.
type exposition struct {
	text strings.Builder
	name string          // of the family
	seen map[string]bool // its samples, so that none stands twice
}

// family begins a family of samples. Its name follows on that of the program; a
// unit must end it.
func (e *exposition) family(name, unit, kind, help string) {
	e.name, e.seen = "bathtender", map[string]bool{}
	if name != "" {
		e.name += "_" + name
	}
	e.text.WriteString("# TYPE " + e.name + " " + kind + "\n")
	if unit != "" {
		e.text.WriteString("# UNIT " + e.name + " " + unit + "\n")
	}
	e.text.WriteString("# HELP " + e.name + " " + escaped(help) + "\n")
}

// known writes a sample of what may not be known: then there is none.
func (e *exposition) known(value *float64, labels ...string) {
	if value != nil {
		e.put("", *value, labels...)
	}
}

// put writes a sample with labels, each a name and a value after it.
func (e *exposition) put(suffix string, value float64, labels ...string) {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return
	}
	sample := e.name + suffix
	if len(labels) > 0 {
		var list []string
		for i := 0; i+1 < len(labels); i += 2 {
			list = append(list, labels[i]+`="`+escaped(labels[i+1])+`"`)
		}
		sample += "{" + strings.Join(list, ",") + "}"
	}
	if e.seen[sample] {
		return // twice would make the whole text unreadable
	}
	e.seen[sample] = true
	e.text.WriteString(sample + " " + strconv.FormatFloat(value, 'g', -1, 64) + "\n")
}

// lateness writes the histogram of the loop's wake-ups. Its bounds must rise, and
// the last has none.
func (e *exposition) lateness(counts []status.Count) {
	e.family("wake_late_seconds", "seconds", "histogram", "How late the loop woke up.")
	sum, bound := uint64(0), math.Inf(-1)
	for i, c := range counts {
		sum += c.Ticks
		if i == len(counts)-1 && c.UpTo == 0 {
			break
		}
		if !(c.UpTo > bound) || math.IsInf(c.UpTo, 0) {
			continue
		}
		bound = c.UpTo
		e.put("_bucket", float64(sum), "le", decimal(bound))
	}
	if len(counts) > 0 {
		e.put("_bucket", float64(sum), "le", "+Inf")
	}
}

// decimal writes a bound as OpenMetrics wants it: never without a point.
func decimal(v float64) string {
	text := strconv.FormatFloat(v, 'g', -1, 64)
	if !strings.ContainsAny(text, ".e") {
		text += ".0"
	}
	return text
}

func number(i int) string { return strconv.Itoa(i) }

// escaped makes a text fit for a label or a help: what is no UTF-8 and what would
// end it.
func escaped(text string) string {
	return strings.NewReplacer("\\", `\\`, "\n", `\n`, `"`, `\"`).Replace(strings.ToValidUTF8(text, "\uFFFD"))
}
