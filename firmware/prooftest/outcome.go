package prooftest

import (
	"fmt"
	"math"
	"strings"

	"bathtender/firmware/journal"
	"bathtender/hal/quantity"
	"bathtender/interlock"
)

// Result is what came of one step.
type Result struct {
	Step    *Step
	Outcome journal.ProofOutcome
	// Seen is after how many seconds the function was seen, at most; Allowed what that
	// was held against. Both are 0 where nothing was seen.
	Seen, Allowed float64
	// Why is the reason of a failure or of not trying; Took what was seen to go.
	Why, Took string
}

// Sentence returns the result in plain words, without the function's name.
func (r *Result) Sentence() string {
	switch r.Outcome {
	case journal.ProofPassed:
		return fmt.Sprintf("pass: seen after %s at most, %s allowed; %s", seconds(r.Seen), seconds(r.Allowed), r.Took)
	case journal.ProofFailed:
		return "FAIL: " + r.Why
	default:
		return "not tried: " + r.Why
	}
}

// Record returns the result as the journal keeps it.
func (r *Result) Record() journal.ProofResult {
	record := journal.ProofResult{
		Function: r.Step.Function.Name(), By: r.Step.By, Result: r.Outcome,
		Seen: math.Round(r.Seen*100) / 100, Allowed: math.Round(r.Allowed*100) / 100, Why: r.Why,
	}
	if r.Step.row().Scope != interlock.Whole {
		record.Place = r.Step.Place + 1
	}
	return record
}

func seconds(s float64) string { return fmt.Sprintf("%.1f s", s) }

// Tally is how many steps came to what.
type Tally struct{ Passed, Failed, NotTried int }

// Count counts results.
func Count(results []Result) (t Tally) {
	for i := range results {
		switch results[i].Outcome {
		case journal.ProofPassed:
			t.Passed++
		case journal.ProofFailed:
			t.Failed++
		default:
			t.NotTried++
		}
	}
	return t
}

// Sentence returns the tally in plain words, with the names of what failed.
func (t Tally) Sentence(results []Result) string {
	text := fmt.Sprintf("%d passed, %d failed, %d not tried", t.Passed, t.Failed, t.NotTried)
	var failed []string
	for i := range results {
		if results[i].Outcome == journal.ProofFailed {
			failed = append(failed, results[i].Step.Name())
		}
	}
	if len(failed) > 0 {
		text += "; failed: " + strings.Join(failed, "; ")
	}
	return text
}

// Record returns a whole walk as the journal keeps it.
func Record(results []Result, whole, broken bool) *journal.ProofTest {
	p := &journal.ProofTest{Whole: whole, Broken: broken}
	for i := range results {
		p.Results = append(p.Results, results[i].Record())
	}
	return p
}

// NextDue says when the next proof test is due, days after one was made on a day;
// both count from 1 January 1970 or are 0 where they are not known.
func NextDue(day int32, days int) string {
	switch {
	case days == 0:
		return "the machine file states no interval for proof tests: write proof_test under [care]"
	case day == 0:
		return "the clock is not set, so the day of the next proof test is not known"
	}
	return fmt.Sprintf("the next proof test is due on %s, %s after this one", journal.DayText(day+int32(days)), quantity.FormatDays(int64(days)))
}
