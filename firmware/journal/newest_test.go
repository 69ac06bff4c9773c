package journal

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inPieces copies a journal into a folder, its records in files of a few each.
func inPieces(t *testing.T, each int) (Folder, []Entry) {
	from := filepath.Join("..", "..", "testdata", "journals", "0.1.0")
	folder := t.TempDir()
	last, err := os.ReadFile(filepath.Join(from, lastName))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, lastName), last, 0o644))
	data, err := os.ReadFile(filepath.Join(from, segmentName(1)))
	require.NoError(t, err)
	lines := strings.SplitAfter(strings.TrimSuffix(string(data), "\n"), "\n")
	for i := 0; i < len(lines); i += each {
		text := strings.Join(lines[i:min(i+each, len(lines))], "")
		require.NoError(t, os.WriteFile(filepath.Join(folder, segmentName(uint64(i+1))), []byte(strings.TrimSuffix(text, "\n")+"\n"), 0o644))
	}
	all, damages, err := All(Folder(folder))
	require.NoError(t, err)
	require.Empty(t, damages)
	require.Greater(t, len(all), 5)
	slices.Reverse(all)
	return Folder(folder), all
}

// Page after page, Newest gives what All gives, however the files are cut.
func TestNewestGivesWhatAllGives(t *testing.T) {
	for _, each := range []int{1, 2, 3, 1000} {
		for _, count := range []int{1, 2, 3, 4, 1000} {
			folder, all := inPieces(t, each)
			var got []Entry
			before := uint64(0)
			for {
				page, older, damages, err := Newest(folder, before, count)
				require.NoError(t, err)
				require.Empty(t, damages)
				require.LessOrEqual(t, len(page), count)
				got = append(got, page...)
				if !older {
					break
				}
				require.Len(t, page, count)
				before = page[len(page)-1].Seq
			}
			require.Equal(t, all, got, "%d in a file, %d at a time", each, count)
		}
	}
}

func TestNewestTellsWhatIsMissing(t *testing.T) {
	folder, all := inPieces(t, 2)
	newest := all[0].Seq
	require.NoError(t, folder.Remove(segmentName(3)))
	_, _, damages, err := Newest(folder, 0, 1000)
	require.NoError(t, err)
	assert.Equal(t, []Damage{{File: segmentName(1), Text: "records 3 to 4 are missing at the end"}}, damages)
	// It reads no more than it must, so it does not see it here.
	_, older, damages, err := Newest(folder, 0, 1)
	require.NoError(t, err)
	assert.True(t, older)
	assert.Empty(t, damages)
	// A journal that was cut at the end of a line looks whole but for the number.
	folder, _ = inPieces(t, 1)
	require.NoError(t, folder.Remove(segmentName(newest)))
	_, _, damages, err = Newest(folder, 0, 1)
	require.NoError(t, err)
	assert.Equal(t, []Damage{{File: segmentName(newest - 1), Text: numbers(newest, newest) + " missing at the end"}}, damages)
	// What is no record does not hide those around it.
	folder, all = inPieces(t, 1000)
	data, err := folder.Read(segmentName(1))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(folder.path(segmentName(1)), []byte(strings.Replace(string(data), `"seq":2,`, `"seq":9,`, 1)+"half"), 0o644))
	got, _, damages, err := Newest(folder, 0, 1000)
	require.NoError(t, err)
	assert.Len(t, got, len(all)-1)
	require.Len(t, damages, 3)
	assert.Contains(t, damages[0].Text, "bytes are no record")
	assert.Contains(t, damages[1].Text, "record 2 is missing")
	assert.Contains(t, damages[2].Text, "cut short, or being written just now")
}

func TestNewestOfNothing(t *testing.T) {
	got, older, damages, err := Newest(Folder(t.TempDir()), 0, 200)
	require.NoError(t, err)
	assert.Empty(t, got)
	assert.False(t, older)
	assert.Equal(t, []Damage{{File: lastName, Text: "it is missing, so nobody knows how many records there should be"}}, damages)
}
