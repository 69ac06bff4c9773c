package prooftest

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/journal"
)

func report(t testing.TB) *Report {
	plan := Plan(demo(t))
	find := func(name string) *Step {
		for i := range plan {
			if plan[i].Name() == name {
				return &plan[i]
			}
		}
		t.Fatal(name)
		return nil
	}
	return &Report{
		Machine: `slide <tank> & "more"`, Fingerprint: "0123456789abcdef0123", Program: "0.1.0", Whole: true,
		Wall: time.Date(2026, 3, 1, 9, 30, 0, 0, time.UTC), Next: NextDue(20513, 180),
		Results: []Result{
			{Step: find("leak"), Outcome: journal.ProofPassed, Seen: 1, Allowed: 1.3, Took: "the contactor was closed and has opened"},
			{Step: find("airflow lost, fan 2"), Outcome: journal.ProofFailed, Seen: 2.04, Allowed: 1.3, Why: "seen only after 2.0 s, 1.3 s allowed"},
			{Step: find("cabinet hot"), Outcome: journal.ProofNotTried, Why: "not by hand: ..."},
		},
	}
}

func TestTheReportAsText(t *testing.T) {
	var b strings.Builder
	require.NoError(t, report(t).WriteText(&b))
	for _, line := range []string{
		`Proof test of "slide <tank> & \"more\""`,
		"made           2026-03-01 09:30 UTC",
		"machine file   0123456789abcdef\n",
		"result         1 passed, 1 failed, 1 not tried; failed: airflow lost, fan 2",
		"pass       leak: seen after 1.0 s at most, 1.3 s allowed",
		"fail       airflow lost, fan 2: seen after 2.0 s at most, 1.3 s allowed",
		"not tried  cabinet hot\n",
		"What was not tried is not proven.",
		// 2026-03-01 is day 20513 from 1970-01-01; 180 days later is 2026-08-28.
		"the next proof test is due on 2026-08-28, 180 days after this one.",
	} {
		assert.Contains(t, b.String(), line)
	}
}

// The page is well-formed XML too, by the standard library's strict reader, and what its
// owner wrote is text in it.
func TestTheReportAsAPage(t *testing.T) {
	var b strings.Builder
	require.NoError(t, report(t).WriteHTML(&b))
	page := strings.TrimPrefix(b.String(), "<!DOCTYPE html>\n")
	page = strings.NewReplacer(`<meta charset="utf-8">`, "", `<meta name="viewport" content="width=device-width, initial-scale=1">`, "").Replace(page)
	d, cells := xml.NewDecoder(strings.NewReader(page)), 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		if start, ok := token.(xml.StartElement); ok && start.Name.Local == "td" {
			cells++
		}
	}
	assert.Equal(t, 3*5, cells)
	assert.Contains(t, page, "slide &lt;tank&gt; &amp; &#34;more&#34;")
	assert.NotContains(t, page, "<tank>")
	assert.NotContains(t, page, "http", "a page of its own")
}

func TestNextDue(t *testing.T) {
	assert.Equal(t, "the machine file states no interval for proof tests: write proof_test under [care]", NextDue(20513, 0))
	assert.Equal(t, "the clock is not set, so the day of the next proof test is not known", NextDue(0, 180))
}

func TestTheRecordOfAResult(t *testing.T) {
	record := Record(report(t).Results, true, false)
	assert.Equal(t, &journal.ProofTest{Whole: true, Results: []journal.ProofResult{
		{Function: "leak", Result: journal.ProofPassed, Seen: 1, Allowed: 1.3},
		{Function: "airflow lost", Place: 2, Result: journal.ProofFailed, Seen: 2.04, Allowed: 1.3, Why: "seen only after 2.0 s, 1.3 s allowed"},
		{Function: "cabinet hot", Result: journal.ProofNotTried, Why: "not by hand: ..."},
	}}, record)
}
