package prove

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the generated parts of docs/prove.md anew; read the difference before you keep it")

const (
	page  = "../../docs/prove.md"
	begin = "<!-- Made from sim/prove: go test ./sim/prove -run TestDocs -update: "
)

// part cuts a generated part out of a page.
func part(t *testing.T, text, name string) (before, got, after string) {
	head := begin + name + " -->\n"
	before, rest, found := strings.Cut(text, head)
	require.True(t, found, name)
	got, after, found = strings.Cut(rest, "<!-- end -->\n")
	require.True(t, found, name)
	return before + head, got, "<!-- end -->\n" + after
}

func rulesList() string {
	var b strings.Builder
	b.WriteString("\n")
	for i := range InvariantCount {
		fmt.Fprintf(&b, "%d. **%s**: %s.\n", i+1, i, i.Text())
	}
	b.WriteString("\nKnown not to hold, and left out of the rules so that these stay strict elsewhere:\n\n")
	for k := range KnownCount {
		fmt.Fprintf(&b, "- **%s** (of %q): %s.\n", k, k.Of(), k.Text())
	}
	return b.String() + "\n"
}

func partitions() string {
	var b strings.Builder
	b.WriteString("\n| view | what it is about | varies at each tick |\n|---|---|---|\n")
	for _, v := range Views() {
		var varies []string
		for _, d := range v.Varies {
			if d.Name == "request" && len(d.Options) == 4 {
				continue
			}
			var options []string
			for _, o := range d.Options {
				options = append(options, o.Name)
			}
			varies = append(varies, d.Name+": "+strings.Join(options, ", "))
		}
		fmt.Fprintf(&b, "| %s | %s | %s |\n", v.Name, v.About, strings.Join(varies, "; "))
	}
	return b.String() + "\n"
}

func counts(results []*Result) string {
	var b strings.Builder
	b.WriteString("\n| view | inputs | states | transitions | depth |\n|---|---|---|---|---|\n")
	states, transitions := 0, 0
	for _, r := range results {
		fmt.Fprintf(&b, "| %s | %d | %d | %d | %d |\n", r.View.Name, r.Inputs, r.States, r.Transitions, r.Depth)
		states, transitions = states+r.States, transitions+r.Transitions
	}
	fmt.Fprintf(&b, "| all | | %d | %d | |\n\n", states, transitions)
	return b.String()
}

// TestDocs compares the generated parts of the page; the counts only in a run
// that searches all views.
func TestDocs(t *testing.T) {
	want := map[string]string{"rules": rulesList(), "views": partitions()}
	if !testing.Short() {
		want["counts"] = counts(searched(t))
	}
	data, err := os.ReadFile(page)
	require.NoError(t, err)
	text := string(data)
	for name, w := range want {
		before, got, after := part(t, text, name)
		if *update {
			text = before + w + after
			continue
		}
		assert.Equal(t, w, got, "write it anew: go test ./sim/prove -run TestDocs -update")
	}
	if *update {
		require.NoError(t, os.WriteFile(page, []byte(text), 0o644))
	}
}
