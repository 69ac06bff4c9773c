package trace

import (
	"bytes"
	"encoding/csv"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"
	"pgregory.net/rapid"

	"bathtender/hal"
)

// written returns the trace of the rows.
func written(t require.TestingT, layout Layout, rows ...Row) string {
	var out bytes.Buffer
	w, err := NewWriter(&out, layout)
	require.NoError(t, err)
	for i := range rows {
		require.NoError(t, w.Write(&rows[i]))
	}
	require.NoError(t, w.Flush())
	return out.String()
}

// read returns the rows of a trace.
func read(t require.TestingT, text string) []Row {
	r, err := NewReader(strings.NewReader(text), "test.csv")
	require.NoError(t, err)
	var rows []Row
	for {
		// What was in the row must not shine through.
		row := Row{Snapshot: hal.Snapshot{Time: 7, Fans: [hal.MaxFans]hal.Reading[hal.RotationalSpeed]{hal.Aged(hal.RPM, 3)}},
			Request: hal.Request{Verb: hal.Start, Recipe: "old"}, HasOutputs: true, Outputs: hal.Outputs{Heater: true, Banks: 9},
			Events: "old"}
		err := r.Next(&row)
		if err == io.EOF {
			return rows
		}
		require.NoError(t, err)
		rows = append(rows, row)
	}
}

func requireSame(t *rapid.T, want, got []Row) {
	if difference := cmp.Diff(want, got); difference != "" {
		t.Fatalf("rows came back otherwise (-written +read):\n%s", difference)
	}
}

func TestRowsSurviveInAnyLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		layout := Layout{
			Fans: rapid.IntRange(0, hal.MaxFans).Draw(t, "fans"), Banks: rapid.IntRange(0, hal.MaxBanks).Draw(t, "banks"),
			Ages: rapid.Bool().Draw(t, "ages"), Outputs: rapid.Bool().Draw(t, "outputs"), Events: rapid.Bool().Draw(t, "with events"),
		}
		names, err := layout.Names()
		require.NoError(t, err)
		rows := []Row{drawRow(t, names, layout.Banks), drawRow(t, names, layout.Banks)}
		requireSame(t, rows, read(t, written(t, layout, rows...)))
	})
}

func TestRowsSurviveInAnyColumnsAndOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		layout := Layout{Columns: drawColumns(t)}
		rows := []Row{drawRow(t, layout.Columns, hal.MaxBanks), drawRow(t, layout.Columns, hal.MaxBanks)}
		text := written(t, layout, rows...)
		requireSame(t, rows, read(t, text))
		// As other programs save it: with a byte order mark and CRLF. A line end
		// inside a quoted field becomes CRLF with the others, and comes back.
		requireSame(t, rows, read(t, "\ufeff"+strings.ReplaceAll(text, "\n", "\r\n")))
	})
}

// The standard library's CSV reader is the other reader here.
func TestStandardReaderSeesTheSameFields(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		layout := Layout{Fans: 2, Banks: 6, Ages: true, Outputs: true, Events: true}
		names, err := layout.Names()
		require.NoError(t, err)
		row := drawRow(t, names, 6)
		records, err := csv.NewReader(strings.NewReader(written(t, layout, row))).ReadAll()
		require.NoError(t, err)
		require.Len(t, records, 2)
		require.Equal(t, names, records[0])
		for i, name := range names {
			switch name {
			case "time_s":
				require.Equal(t, shortest(exact(scale{places: 9}, int64(row.Time)), 9), records[1][i])
			case "events":
				require.Equal(t, row.Events, records[1][i])
			case "request":
				require.Equal(t, row.Request.String(), records[1][i])
			case "out_banks":
				if row.HasOutputs {
					require.Equal(t, row.Outputs.Banks.Text(6), records[1][i])
				} else {
					require.Empty(t, records[1][i])
				}
			case "lid_closed":
				require.Equal(t, map[hal.Contact]string{hal.Absent: "", hal.Open: "0", hal.Closed: "1"}[row.Contacts.LidClosed], records[1][i])
			case "bath_a_degC":
				want := ""
				if row.Probes[hal.BathA].Valid {
					want = shortest(exact(scale{9, 273_150_000_000}, int64(row.Probes[hal.BathA].Value)), 9)
				}
				require.Equal(t, want, records[1][i])
			}
		}
	})
}

// RFC 4180, 2.5 to 2.7: fields with line breaks, quotes and commas are quoted,
// quotes inside are doubled.
func TestRecipeNamesAreQuoted(t *testing.T) {
	layout := Layout{Columns: []string{"time_s", "request"}}
	for name, field := range map[string]string{
		"slides": `start slides`, "": `start `, "a,b": `"start a,b"`, `3" slide`: `"start 3"" slide"`, "a\nb": "\"start a\nb\"",
	} {
		row := Row{Request: hal.Request{Verb: hal.Start, Recipe: name}}
		assert.Equal(t, "time_s,request\n0,"+field+"\n", written(t, layout, row))
	}
}

// RFC 4180, 2.5 to 2.7, too: what happened is always quoted, and nothing is
// nothing. Read back, "" and nothing are the same.
func TestEventsAreQuoted(t *testing.T) {
	layout := Layout{Columns: []string{"events", "time_s"}}
	for events, field := range map[string]string{
		"": ``, "fans on": `"fans on"`, `session of "heavy" begins; purge begins`: `"session of ""heavy"" begins; purge begins"`,
		"a,b": `"a,b"`, "a\n\nb": "\"a\n\nb\"", " ": `" "`, "12 \u00b0C": "\"12 \u00b0C\"",
	} {
		row := Row{Events: events}
		text := written(t, layout, row)
		assert.Equal(t, "events,time_s\n"+field+",0\n", text)
		back := read(t, text)
		require.Len(t, back, 1)
		assert.Equal(t, events, back[0].Events)
	}
	assert.Empty(t, read(t, "events,time_s\n\"\",0\n")[0].Events)
	assert.Equal(t, "fans on", read(t, "time_s,events\n0,fans on\n")[0].Events, "another program may leave the quotes out")
}

// A row that is not a whole line yet is not waited beyond: each row is there as
// soon as its line end is, and bytes may come one by one.
func TestReaderDoesNotWaitForMoreThanARow(t *testing.T) {
	from, to := io.Pipe()
	defer from.Close()
	go func() {
		io.WriteString(to, "time_s,request\n")
		io.WriteString(to, "1,\n")
		// Nothing follows until the reader has had its row.
	}()
	r, err := NewReader(from, "pipe")
	require.NoError(t, err)
	var row Row
	require.NoError(t, r.Next(&row))
	assert.EqualValues(t, 1e9, row.Time)
	go func() {
		io.WriteString(to, "2,\"start a\nb\"\n")
	}()
	require.NoError(t, r.Next(&row))
	assert.Equal(t, "a\nb", row.Request.Recipe)

	slow, err := NewReader(iotest.OneByteReader(strings.NewReader("\ufefftime_s\n1\n2")), "slow")
	require.NoError(t, err)
	require.NoError(t, slow.Next(&row))
	require.NoError(t, slow.Next(&row))
	assert.EqualValues(t, 2e9, row.Time)
	assert.Equal(t, io.EOF, slow.Next(&row))
	assert.Equal(t, io.EOF, slow.Next(&row))
}

func TestMissingColumns(t *testing.T) {
	rows := read(t, "time_s,bath_a_degC,level_ok\n5,20,\n-1,,1\n5,21,0\n")
	require.Len(t, rows, 3)
	assert.Equal(t, Row{Snapshot: hal.Snapshot{
		Time: 5e9, Probes: [3]hal.Reading[physic.Temperature]{hal.Fresh(physic.Temperature(293_150_000_000))},
		// Without a column: from a driver without journal or line read-back.
		RecordOK: true, KeptOK: true, OutputsOK: true,
	}}, rows[0])
	assert.EqualValues(t, -1e9, rows[1].Time, "a clock may go back")
	assert.False(t, rows[1].Probes[hal.BathA].Valid)
	assert.Equal(t, hal.Closed, rows[1].Contacts.LevelOK)
	assert.Equal(t, hal.Open, rows[2].Contacts.LevelOK)
}
