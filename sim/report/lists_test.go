package report

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The reference is the state held tick by tick: whatever was on is drawn as on,
// and the time on is exact.
func TestBarsLoseNoTimeOn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := NewBars()
		at, total, starts := time.Duration(0), time.Duration(0), int64(0)
		on := false
		var ons []span
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		for i := range rapid.SampledFrom([]int{1, 100, 2 * barsMax, 5 * barsMax}).Draw(t, "changes") {
			d := time.Duration(1 + (i*i*7919)%1000)
			if on {
				total += d
				ons[len(ons)-1].to = at + d
			}
			at += d
			next := i%3 != 2 || random.IntN(2) == 0
			if i%2 == 1 {
				next = false
			}
			if next && !on {
				starts++
				ons = append(ons, span{at, at})
			}
			on = next
			b.Set(at, on)
		}
		require.Equal(t, total, b.OnTime())
		require.Equal(t, starts, b.Starts())
		require.LessOrEqual(t, len(b.spans), barsMax)
		joined, _ := b.Joined()
		require.Equal(t, starts, int64(len(b.spans))+joined)
		j := 0
		for _, s := range ons {
			for j < len(b.spans)-1 && b.spans[j].to < s.from {
				j++
			}
			require.True(t, b.spans[j].from <= s.from && s.to <= b.spans[j].to, "%v is not drawn", s)
		}
	})
}

func TestFullBarsJoinTheShortestPauseAndSaySo(t *testing.T) {
	b := NewBars()
	at := time.Duration(0)
	for i := range barsMax + 1 {
		b.Set(at, true)
		at += time.Minute
		b.Set(at, false)
		if at += time.Minute; i == 1000 {
			at -= 59 * time.Second
		}
	}
	joined, longest := b.Joined()
	assert.Equal(t, []any{int64(1), time.Second}, []any{joined, longest})
	s := Sheet{Outputs: []Output{{"heater", b}}}
	assert.Equal(t, []string{"heater: 1 pauses of up to 0:00:01 are drawn as on; the time on is exact."}, s.Notes())
}

func TestFullPhasesGiveUpTheShortestAndSaySo(t *testing.T) {
	p := NewPhases()
	at := time.Duration(0)
	for i := range phasesMax + 1 {
		p.Enter(at, fmt.Sprint(i))
		if at += time.Minute; i == 77 {
			at -= 55 * time.Second
		}
	}
	list := p.List()
	require.Len(t, list, phasesMax)
	assert.Equal(t, Phase{"76", 76 * time.Minute, 77*time.Minute + 5*time.Second}, list[76])
	assert.Equal(t, "78", list[77].Name)
	assert.Equal(t, []string{"1 phases of up to 0:00:05 are drawn as part of the phase before."}, (&Sheet{Phases: p}).Notes())
}

func TestFullMarksNeverGiveUpTheWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := NewMarks()
		fed := map[Severity]int{}
		// Long lists come from a seed, because rapid prefers short ones.
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		for i := range rapid.SampledFrom([]int{0, 10, marksMax, marksMax + 1, 8 * marksMax}).Draw(t, "marks") {
			s := Severity(random.IntN(3))
			fed[s]++
			m.Add(Mark{At: time.Duration(i), Severity: s})
		}
		kept := map[Severity]int{}
		for _, k := range m.List() {
			kept[k.Severity]++
		}
		room := marksMax
		for _, s := range []Severity{Trip, Hold, Note} {
			require.Equal(t, min(fed[s], room), kept[s], s.String())
			room -= kept[s]
		}
		require.Equal(t, int64(fed[0]+fed[1]+fed[2]-len(m.list)), m.Dropped())
	})
}

func TestMarksFullOfTripsTakeNoNote(t *testing.T) {
	m := NewMarks()
	for i := range marksMax {
		m.Add(Mark{At: time.Duration(i), Severity: Trip})
	}
	full := m.List()
	m.Add(Mark{At: time.Hour, Severity: Note})
	m.Add(Mark{At: time.Hour, Severity: Trip})
	assert.Equal(t, full, m.List(), "the first trips stay: they are nearest to the first cause")
	assert.Equal(t, []string{"2 marks are left out: the list was full at 200, and no trip gave way to a milder mark."}, (&Sheet{Marks: m}).Notes())
}
