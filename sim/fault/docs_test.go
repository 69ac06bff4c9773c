package fault_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/sim/fault"
)

var update = flag.Bool("update", false, "write the generated table anew; read the difference before you keep it")

const (
	page  = "../../docs/file-formats.md"
	begin = "<!-- Made from sim/fault: go test ./sim/fault -run TestDocs -update -->\n"
	end   = "<!-- end -->\n"
)

var targets = map[fault.Target]string{
	fault.TheCabinet: "", fault.AFan: "`fan`", fault.AProbe: "`probe`", fault.ABank: "`bank`",
}

// table is the catalogue as docs/file-formats.md has it.
func table() string {
	var b strings.Builder
	b.WriteString("\n| `fault` | of | what goes wrong | `amount` | where left out |\n|---|---|---|---|---|\n")
	for _, k := range fault.Catalogue {
		bounds, usual := "", ""
		if k.Amount != fault.NoAmount {
			bounds = k.Amount.Number(k.Least) + " to " + k.Amount.Number(k.Most)
			usual = k.Amount.Number(k.Usual)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", k.Name, targets[k.Of], k.Means, bounds, usual)
	}
	return b.String() + "\n"
}

func TestDocsAreThoseOfTheCatalogue(t *testing.T) {
	text, err := os.ReadFile(page)
	require.NoError(t, err)
	before, rest, found := strings.Cut(string(text), begin)
	require.True(t, found)
	got, after, found := strings.Cut(rest, end)
	require.True(t, found)
	if *update {
		require.NoError(t, os.WriteFile(page, []byte(before+begin+table()+end+after), 0o644))
		return
	}
	assert.Equal(t, table(), got, "write it anew: go test ./sim/fault -run TestDocs -update")
}
