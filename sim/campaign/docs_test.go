package campaign

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/machine"
	"bathtender/hal/quantity"
	"bathtender/sim/hazard"
	"bathtender/testdata"
)

var update = flag.Bool("update", false, "write docs/hazards.md anew; read the difference before you keep it")

const docs = "../../docs/hazards.md"

// demoCampaign is a campaign on the demo tank, changed as wanted.
func demoCampaign(t testing.TB, change func(string) string) *Campaign {
	data, err := testdata.FS.ReadFile("machines/slide-tank.toml")
	require.NoError(t, err)
	m, err := machine.Parse("slide-tank.toml", []byte(change(string(data))))
	require.NoError(t, err)
	c, err := New(m)
	require.NoError(t, err)
	return c
}

func asItIs(text string) string { return text }

// outcomes runs cases.
func outcomes(t testing.TB, c *Campaign, cases []Case) []Outcome {
	var list []Outcome
	require.NoError(t, c.RunAll(cases, 0, func(r Result) error {
		list = append(list, OutcomeOf(&r))
		return nil
	}))
	return list
}

// The page of hazards is what campaigns on the demo tank give.
func TestHazardsPage(t *testing.T) {
	if testing.Short() {
		t.Skip("every fault and every pair")
	}
	c := demoCampaign(t, asItIs)
	all := outcomes(t, c, Plan{Singles: 2, Pairs: 1}.Cases())
	sets := CutSets(all)
	for _, s := range sets {
		assert.Len(t, s.Faults, 2, "no single fault may lead to a hazard: %v", s)
	}
	text, err := os.ReadFile(docs)
	require.NoError(t, err)
	want := string(text)
	want = section(t, want, "<!-- hazards: from the code -->\n", "<!-- end of hazards -->", hazardTable())
	want = section(t, want, "<!-- singles: from runs -->\n", "<!-- end of singles -->", singlesTable(Table(all)))
	want = section(t, want, "<!-- cut sets: from runs -->\n", "<!-- end of cut sets -->", setsTable(sets))
	if *update {
		require.NoError(t, os.WriteFile(docs, []byte(want), 0o644))
		return
	}
	assert.Equal(t, want, string(text), "write it anew: go test ./sim/campaign -run HazardsPage -update")
}

// section replaces what stands between two lines.
func section(t *testing.T, text, from, to, with string) string {
	head, rest, ok := strings.Cut(text, from)
	require.True(t, ok, from)
	_, tail, ok := strings.Cut(rest, to)
	require.True(t, ok, to)
	return head + from + with + to + tail
}

func hazardTable() string {
	var b strings.Builder
	b.WriteString("| hazard | what | limit | tolerable | why | covered without a program by |\n|---|---|---|---|---|---|\n")
	for h := range hazard.Table {
		r := &hazard.Table[h]
		limit := ""
		if r.Unit != "" {
			limit = fmt.Sprintf("%g %s", r.Limit, r.Unit)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n", r.Name, r.What, limit, quantity.FormatDuration(r.Tolerable), r.Why, r.Covered)
	}
	return b.String()
}

func singlesTable(lines []Line) string {
	var b strings.Builder
	b.WriteString("| fault | comes | cases | noticed | mostly by | noticed after (median, most) | safe after (median, most) | nearest hazard |\n|---|---|---|---|---|---|---|---|\n")
	for _, l := range lines {
		fmt.Fprintf(&b, "| %s | %s | %d | %d | %s | %s | %s | %s |\n", l.Fault, l.Onset, l.Cases, l.Noticed, l.By, l.DetectText(), l.SafeText(), l.HazardText())
	}
	return b.String()
}

func setsTable(sets []CutSet) string {
	var b strings.Builder
	b.WriteString("| hazard | faults | covered by |\n|---|---|---|\n")
	for _, s := range sets {
		fmt.Fprintf(&b, "| %s | %s | %s |\n", s.Hazard, s.Text(), s.Covered())
	}
	return b.String()
}

// Without thermal switches one fault alone leads to a hazard, and the campaign
// finds it.
func TestABlockedInletIsFoundWithoutThermalSwitches(t *testing.T) {
	without := demoCampaign(t, func(text string) string {
		return strings.Replace(text, "heat_switches = true", "heat_switches = false", 1)
	})
	var cases []Case
	for _, one := range Singles(2) {
		if strings.HasPrefix(one.Key(), "inlet blocked") && one.At <= InPreheat {
			cases = append(cases, one)
		}
	}
	sets := CutSets(outcomes(t, without, cases))
	require.NotEmpty(t, sets)
	assert.Equal(t, []string{"inlet blocked"}, sets[0].Faults)
	assert.Empty(t, CutSets(outcomes(t, demoCampaign(t, asItIs), cases)))
}

// The same campaign gives the same outcomes whatever the number of workers, and
// in parts.
func TestWorkersAndPartsChangeNothing(t *testing.T) {
	c := demoCampaign(t, asItIs)
	cases := Singles(1)
	if testing.Short() {
		cases = cases[:40]
	}
	one, many := []Outcome{}, []Outcome{}
	keep := func(list *[]Outcome) func(Result) error {
		return func(r Result) error { *list = append(*list, OutcomeOf(&r)); return nil }
	}
	require.NoError(t, c.RunAll(cases, 1, keep(&one)))
	require.NoError(t, c.RunAll(cases, 7, keep(&many)))
	assert.Equal(t, one, many)
	parts := map[string]Outcome{}
	n := 0
	for k := range 3 {
		for _, o := range outcomes(t, c, Shard(cases, k+1, 3)) {
			parts[o.Key] = o
			n++
		}
	}
	assert.Equal(t, len(cases), n)
	for _, o := range one {
		assert.Equal(t, o, parts[o.Key])
	}
}

func TestKeysAreTheirOwn(t *testing.T) {
	seen := map[string]bool{}
	for _, one := range (Plan{Singles: 2, Pairs: 1}).Cases() {
		assert.False(t, seen[one.Key()], one.Key())
		seen[one.Key()] = true
	}
	assert.Greater(t, len(seen), 10000)
}

// A campaign that was broken off, in the middle of a line, goes on where it was.
func TestABrokenOffCampaignGoesOn(t *testing.T) {
	c := demoCampaign(t, asItIs)
	folder := t.TempDir()
	identity := c.Identity(Plan{Singles: 1})
	s, err := OpenStore(folder, identity)
	require.NoError(t, err)
	list := outcomes(t, c, Singles(1)[:5])
	for _, o := range list {
		require.NoError(t, s.Keep(o))
	}
	require.NoError(t, s.Close())
	path := folder + "/" + StoreName
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, data[:len(data)-20], 0o644))
	s, err = OpenStore(folder, identity)
	require.NoError(t, err)
	for i, o := range list {
		got, ok := s.Has(o.Key)
		assert.Equal(t, i < 4, ok)
		if ok {
			assert.Equal(t, o, got)
		}
	}
	require.NoError(t, s.Keep(list[4]))
	require.NoError(t, s.Close())
	again, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(data), string(again))
	_, err = OpenStore(folder, c.Identity(Plan{Singles: 2}))
	assert.ErrorContains(t, err, "it holds another campaign")
	require.NoError(t, os.WriteFile(path, []byte("nonsense\n"), 0o644))
	_, err = OpenStore(folder, identity)
	assert.ErrorContains(t, err, "outcomes.jsonl:1: the line is no outcome of a campaign")
}

func TestThePageHasEveryFault(t *testing.T) {
	c := demoCampaign(t, asItIs)
	var cases []Case
	for _, one := range Singles(1) {
		if one.At == BeforeStart {
			cases = append(cases, one)
		}
	}
	list := outcomes(t, c, cases)
	var b bytes.Buffer
	page := Page{Title: "A campaign", Identity: c.Identity(Plan{Singles: 1}), Outcomes: list}
	require.NoError(t, page.Write(&b))
	for _, l := range Table(list) {
		assert.Contains(t, b.String(), ">"+l.Fault+"<")
	}
	assert.NotContains(t, b.String(), "http", "nothing is fetched from elsewhere")
	assert.NotContains(t, b.String(), "ZgotmplZ")
	b.Reset()
	require.NoError(t, WriteCSV(&b, list))
	assert.Equal(t, len(list)+1, strings.Count(b.String(), "\n"))
}

// Sessions without faults are not bothered. Twenty of them here; the verb runs as
// many as wanted.
func TestHealthySessionsAreLeftAlone(t *testing.T) {
	c := demoCampaign(t, asItIs)
	sessions := 20
	if testing.Short() {
		sessions = 2
	}
	n, err := c.Healthy(sessions, 0, func(int) {})
	require.NoError(t, err)
	assert.Equal(t, Nuisance{Sessions: sessions}, n)
}

func BenchmarkCase(b *testing.B) {
	c := demoCampaign(b, asItIs)
	cases := Singles(1)
	i := 0
	for b.Loop() {
		_, err := c.Run(cases[i%len(cases)])
		require.NoError(b, err)
		i++
	}
}
