package report

import (
	"bytes"
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func pageOf(t *testing.T, r *Report) string {
	var b bytes.Buffer
	require.NoError(t, r.WritePage(&b))
	return b.String()
}

// elements counts the elements of a page, which must nest properly.
func elements(t *testing.T, doc string) map[string]int {
	d := xml.NewDecoder(strings.NewReader(doc))
	d.Entity = xml.HTMLEntity
	count := map[string]int{}
	for {
		token, err := d.Token()
		if err == io.EOF {
			return count
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok {
			count[e.Name.Local]++
			if e.Name.Local == "th" {
				require.NotEmpty(t, e.Attr, "a table header without scope")
			}
		}
	}
}

func TestPageIsWholeAndStandsAlone(t *testing.T) {
	r := demoReport()
	doc := pageOf(t, r)
	count := elements(t, doc)
	assert.Equal(t, 1, count["svg"])
	assert.Equal(t, 1, count["h1"])
	assert.Equal(t, 1, count["desc"])
	assert.Equal(t, 5, count["table"])
	assert.Equal(t, count["table"], count["caption"])
	for _, no := range []string{"script", "link", "img", "iframe", "object", "a"} {
		assert.Zero(t, count[no], no)
	}
	for _, f := range r.Facts {
		assert.Contains(t, doc, f.Value)
	}
	for _, c := range r.Cautions {
		assert.Contains(t, doc, c)
	}
	assert.Contains(t, doc, `<tr class="trip"><td class="n">0:41:01</td><td class="kind">trip</td><td>fan 2 at 310 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped</td></tr>`)
	// The only address is the name of the SVG language; nothing is fetched.
	rest := strings.Replace(doc, `xmlns="http://www.w3.org/2000/svg"`, "", 1)
	assert.NotRegexp(t, regexp.MustCompile(`(?i)https?:|//[a-z]|url\(|@import|src=|href=`), rest)
}

func TestPageEscapesHostileWords(t *testing.T) {
	const bad = `"><script>alert(1)</script><img src=x onerror=y>`
	r := demoReport()
	r.Title, r.Subtitle = bad, bad
	r.Facts = []Fact{{bad, bad}}
	r.Cautions = []string{bad}
	r.Events[0].Text = bad
	r.Sheet.Panels[0].Title, r.Sheet.Panels[0].Unit, r.Sheet.Panels[0].Lines[0].Name = bad, bad, bad
	r.Sheet.Panels[0].Limits[0].Label = bad
	r.Sheet.Outputs[0].Name = bad
	r.Sheet.Phases.Enter(sessionEnd, bad)
	r.Sheet.Marks.Add(Mark{At: fanStops, Label: bad, Text: bad})
	count := elements(t, pageOf(t, r))
	assert.Zero(t, count["script"]+count["img"])
	words(t, svgOf(t, r.headed()))
}

func TestPageOfNothingIsWhole(t *testing.T) {
	count := elements(t, pageOf(t, &Report{}))
	assert.Equal(t, []int{1, 1, 0}, []int{count["h1"], count["svg"], count["table"]})
}

func TestFolderHoldsTheSameBytesEveryTime(t *testing.T) {
	var runs [2]map[string][]byte
	for i := range runs {
		dir := filepath.Join(t.TempDir(), "a", "b")
		paths, err := demoReport().WriteFolder(dir)
		require.NoError(t, err)
		require.Equal(t, []string{filepath.Join(dir, "session.svg"), filepath.Join(dir, "session.png"), filepath.Join(dir, "index.html")}, paths)
		runs[i] = map[string][]byte{}
		for _, p := range paths {
			b, err := os.ReadFile(p)
			require.NoError(t, err)
			require.Greater(t, len(b), 5000)
			runs[i][filepath.Base(p)] = b
		}
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Len(t, left, 3, "nothing else may stay in the folder")
	}
	for name := range runs[0] {
		assert.True(t, bytes.Equal(runs[0][name], runs[1][name]), "%s differs", name)
	}
}

func TestFolderErrorsNameThePath(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "taken")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := demoReport().WriteFolder(file)
	assert.EqualError(t, err, `cannot make the report folder "`+file+`": not a directory`)

	require.NoError(t, os.MkdirAll(filepath.Join(dir, "session.png", "full"), 0o755))
	paths, err := demoReport().WriteFolder(dir)
	assert.EqualError(t, err, `cannot write "`+filepath.Join(dir, "session.png")+`": file exists`)
	assert.Equal(t, []string{filepath.Join(dir, "session.svg")}, paths)
	left, err := filepath.Glob(filepath.Join(dir, ".report-*"))
	assert.NoError(t, err)
	assert.Empty(t, left, "half a file stays")
}
