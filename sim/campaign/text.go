package campaign

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"bathtender/sim/hazard"
)

// WriteText writes the table of single faults for people: 100 columns wide.
func WriteText(w io.Writer, lines []Line) error {
	var err error
	say := func(format string, args ...any) {
		if err == nil {
			_, err = fmt.Fprintf(w, format, args...)
		}
	}
	say("%-26s %5s %8s  %-22s %13s %13s  %s\n", "fault", "cases", "noticed", "mostly by", "noticed after", "safe after", "nearest hazard")
	for i := range lines {
		l := &lines[i]
		near := "-"
		if l.Nearest != "" {
			near = fmt.Sprintf("%s, %.0f %% of its time", l.Nearest, 100*l.Share)
		}
		if len(l.Hazards) > 0 {
			near = "HAZARD: " + strings.Join(l.Hazards, ", ")
		}
		say("%-26s %5d %8d  %-22s %13s %13s  %s\n", l.Fault, l.Cases, l.Noticed, or(l.By, "-"),
			range2(l.Detect, l.Noticed), range2(l.Safe, l.Stopped), near)
	}
	return err
}

func or(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

// range2 returns a median and a most: "1.6, 12 s".
func range2(pair [2]float64, n int) string {
	if n == 0 {
		return "-"
	}
	return short(pair[0]) + ", " + short(pair[1]) + " s"
}

func short(seconds float64) string {
	if seconds < 100 {
		return strconv.FormatFloat(seconds, 'f', 1, 64)
	}
	return strconv.FormatFloat(seconds, 'f', 0, 64)
}

// WriteCutSets writes the cut sets for people, each with what must cover it.
func WriteCutSets(w io.Writer, sets []CutSet) error {
	last := ""
	for _, s := range sets {
		if s.Hazard != last {
			last = s.Hazard
			row := &hazard.Table[placeOf(s.Hazard)]
			if _, err := fmt.Fprintf(w, "%s: must be covered by %s\n", s.Hazard, row.Covered); err != nil {
				return err
			}
		}
		if _, err := fmt.Fprintf(w, "  %s\n", s.Text()); err != nil {
			return err
		}
	}
	return nil
}

// Text returns the set in words.
func (s *CutSet) Text() string {
	row := &hazard.Table[placeOf(s.Hazard)]
	worst := ""
	if row.Unit != "" {
		worst = fmt.Sprintf(", up to %.0f %s", s.Worst, row.Unit)
	}
	return fmt.Sprintf("%s (for %s s of a tolerable %s s%s)", strings.Join(s.Faults, " with "), short(s.Stood), short(row.Tolerable.Seconds()), worst)
}

// WriteCSV writes one row for each outcome (RFC 4180); the unit ends the name.
func WriteCSV(w io.Writer, outcomes []Outcome) error {
	out := csv.NewWriter(w)
	header := []string{"first", "second", "at", "seed", "detected", "by_function", "detected_after_s", "safe_after_s", "stopped", "long", "hazards"}
	for h := range hazard.Table {
		row := &hazard.Table[h]
		name := strings.ReplaceAll(row.Name, " ", "_")
		if unit := map[string]string{"°C": "degC", "K": "K", "W": "W"}[row.Unit]; unit != "" {
			header = append(header, name+"_worst_"+unit)
		}
		header = append(header, name+"_stood_s")
	}
	if err := out.Write(header); err != nil {
		return err
	}
	number := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	bit := map[bool]string{true: "1", false: "0"}
	for i := range outcomes {
		o := &outcomes[i]
		row := []string{o.First, o.Second, o.At, strconv.FormatUint(o.Seed, 10), o.Detected, bit[o.Function],
			number(o.After), number(o.Safe), bit[o.Stopped], bit[o.Long], strings.Join(o.Hazards, "; ")}
		for h := range hazard.Table {
			if hazard.Table[h].Unit != "" {
				row = append(row, number(o.Worst[h]))
			}
			row = append(row, number(o.Stood[h]))
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// percent returns a share for people.
func percent(share float64) string { return strconv.FormatFloat(100*share, 'f', 0, 64) + " %" }
