package fault_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
	"bathtender/sim/fault"
	"bathtender/sim/plant"
)

// places is how many of its target a kind can be of.
func places(k *fault.Kind) int {
	return map[fault.Target]int{fault.TheCabinet: 1, fault.AFan: hal.MaxFans, fault.AProbe: hal.MaxProbes, fault.ABank: hal.MaxBanks}[k.Of]
}

func TestEachFaultHasANameOfItsOwnAndSaysWhatItMeans(t *testing.T) {
	seen := map[string]bool{}
	for i, name := range fault.Names() {
		k := fault.Find(name)
		require.NotNil(t, k, "%s", name)
		assert.Same(t, &fault.Catalogue[i], k)
		assert.False(t, seen[name], "%s is there twice", name)
		seen[name] = true
		assert.NotEmpty(t, k.Means, "%s", name)
		assert.NotContains(t, name, ",", "a comma parts the name from the place")
		assert.Equal(t, strings.TrimSpace(name), name)
	}
	assert.Nil(t, fault.Find("fan staled"))
}

// Begin makes the plant other than healthy, in another way for each kind and
// place, and End makes it healthy again. Two kinds may do the same if they come in
// other ways: a wire that is broken, and one that is loose.
func TestEachFaultChangesThePlantAndEndTakesItAway(t *testing.T) {
	type effect struct {
		faults plant.Faults
		onset  fault.Onset
	}
	seen := map[effect]string{}
	for i := range fault.Catalogue {
		k := &fault.Catalogue[i]
		for place := range places(k) {
			f := fault.Fault{Kind: k, Place: place, Size: 1}
			if k.Amount != fault.NoAmount {
				require.NotZero(t, k.Usual, "%s", k.Name)
				f.Size = k.Usual
			}
			var faults plant.Faults
			f.Begin(&faults)
			assert.NotEqual(t, plant.Faults{}, faults, "%s does nothing", f)
			does := effect{faults, k.Onset}
			assert.Empty(t, seen[does], "%s does the same", f)
			seen[does] = f.String()
			f.End(&faults)
			assert.Equal(t, plant.Faults{}, faults, "%s does not end", f)
		}
	}
}

// Two faults at once do not undo each other.
func TestAFaultLeavesOthersAlone(t *testing.T) {
	var faults plant.Faults
	one := fault.Fault{Kind: fault.Find("fan stalled"), Place: 0, Size: 1}
	other := fault.Fault{Kind: fault.Find("fan stalled"), Place: 1, Size: 1}
	one.Begin(&faults)
	other.Begin(&faults)
	one.End(&faults)
	assert.Equal(t, plant.Faults{FanStalled: [hal.MaxFans]bool{1: true}}, faults)
}

func TestAmountsAreReadAsTheyAreWritten(t *testing.T) {
	for i := range fault.Catalogue {
		k := &fault.Catalogue[i]
		if k.Amount == fault.NoAmount {
			assert.Empty(t, k.Amount.Text(1), "%s", k.Name)
			_, err := k.Amount.Parse("1")
			assert.Error(t, err, "%s", k.Name)
			continue
		}
		assert.LessOrEqual(t, k.Least, k.Usual, "%s", k.Name)
		assert.LessOrEqual(t, k.Usual, k.Most, "%s", k.Name)
		for _, size := range []float64{k.Least, k.Usual, k.Most} {
			text := k.Amount.Number(size)
			got, err := k.Amount.Parse(text)
			require.NoError(t, err, "%s", text)
			assert.Equal(t, size, got, "%s of %s", text, k.Name)
			assert.Contains(t, fault.Fault{Kind: k, Size: size}.String(), text)
		}
		for _, bad := range []string{"", "much", "5", "5 furlongs", "NaN %", "1e400 K"} {
			if k.Amount == fault.Count && bad == "5" {
				continue
			}
			_, err := k.Amount.Parse(bad)
			if assert.Error(t, err, "%q of %s", bad, k.Name) {
				assert.Contains(t, err.Error(), "allowed", "%q of %s", bad, k.Name)
			}
		}
	}
}

func TestAFaultIsNamedWithItsPlaceAndAmount(t *testing.T) {
	for want, f := range map[string]fault.Fault{
		"fan stalled, fan 2":                 {Kind: fault.Find("fan stalled"), Place: 1, Size: 1},
		"fan slow, fan 1 by 45 %":            {Kind: fault.Find("fan slow"), Size: 0.45},
		"probe offset, bath B by -6 K":       {Kind: fault.Find("probe offset"), Place: hal.BathB, Size: -6},
		"probe open, cabinet":                {Kind: fault.Find("probe open"), Place: hal.Cabinet, Size: 1},
		"emitters dead, bank 3 (2)":          {Kind: fault.Find("emitters dead"), Place: 2, Size: 2},
		"leak at 0.5 l/min":                  {Kind: fault.Find("leak"), Size: 0.5},
		"mains at 190 V":                     {Kind: fault.Find("mains at"), Size: 190},
		"bank draw off, bank 16 by 1000 %":   {Kind: fault.Find("bank draw off"), Place: 15, Size: 10},
		"drain open at 100 l/min":            {Kind: fault.Find("drain open"), Size: 100},
		"kept state unreadable":              {Kind: fault.Find("kept state unreadable"), Size: 1},
		"journal unwritable":                 {Kind: fault.Find("journal unwritable"), Size: 1},
		"meter off scale by -100 %":          {Kind: fault.Find("meter off scale"), Size: -1},
		"bank relay welded, bank 1":          {Kind: fault.Find("bank relay welded"), Size: 1},
		"cold liquid poured in at 1.5 l/min": {Kind: fault.Find("cold liquid poured in"), Size: 1.5},
		"meter late of 3 s":                  {Kind: fault.Find("meter late"), Size: 3},
		"mains dips of 0.02 s":               {Kind: fault.Find("mains dips"), Size: 0.02},
		"draught of 2.5 m/s":                 {Kind: fault.Find("draught"), Size: 2.5},
		"tick late of 0.3 s":                 {Kind: fault.Find("tick late"), Size: 0.3},
		"emitters loose, bank 1 (1)":         {Kind: fault.Find("emitters loose"), Size: 1},
		"tach wire loose, fan 2":             {Kind: fault.Find("tach wire loose"), Place: 1, Size: 1},
	} {
		assert.Equal(t, want, f.String())
	}
}

func TestSecondsAreReadAsDurations(t *testing.T) {
	for text, want := range map[string]float64{"3 s": 3, "20 ms": 0.02, "0.5 s": 0.5, "1.5 min": 90, "0 s": 0} {
		got, err := fault.Seconds.Parse(text)
		require.NoError(t, err, "%s", text)
		assert.Equal(t, want, got, "%s", text)
	}
	for _, bad := range []string{"3", "s", "3 m/s", "soon"} {
		_, err := fault.Seconds.Parse(bad)
		assert.Error(t, err, "%s", bad)
	}
}

func TestMetresPerSecondAreReadWithTheirUnit(t *testing.T) {
	for text, want := range map[string]float64{"2 m/s": 2, "0.1 m/s": 0.1, "0 m/s": 0, "20 m/s": 20} {
		got, err := fault.MetresPerSecond.Parse(text)
		require.NoError(t, err, "%s", text)
		assert.Equal(t, want, got, "%s", text)
	}
	for _, bad := range []string{"2", "2 s", "-1 m/s", "1000 m/s", "Inf m/s", "NaN m/s", "m/s", " m/s", "2 km/h", "2 m/s m/s"} {
		_, err := fault.MetresPerSecond.Parse(bad)
		assert.EqualError(t, err, "speed \""+bad+"\" is not a speed of air, allowed is as in \"2 m/s\"")
	}
}

// A drifting fault needs an amount to grow to, and a mains that swells starts from
// where it was.
func TestDriftingFaultsGrow(t *testing.T) {
	drifting := 0
	for i := range fault.Catalogue {
		k := &fault.Catalogue[i]
		if k.Onset != fault.Drifting {
			continue
		}
		drifting++
		assert.NotEqual(t, fault.NoAmount, k.Amount, "%s", k.Name)
		assert.InDelta(t, k.Usual, k.Grade(k.Usual, 1), 1e-12, "%s", k.Name)
		first, half := k.Grade(k.Usual, 0.01), k.Grade(k.Usual, 0.5)
		assert.NotZero(t, first, "%s", k.Name)
		assert.NotEqual(t, first, half, "%s", k.Name)
	}
	assert.Positive(t, drifting)
	assert.Equal(t, 247.5, fault.Find("mains swells").Grade(265, 0.5))
	assert.Equal(t, -7.5, fault.Find("probe drifting").Grade(-15, 0.5))
	assert.Equal(t, 1.0, fault.Find("fan stalled").Grade(1, 0.5), "there is no half of it")
}

func TestOnsetsHaveTheirWords(t *testing.T) {
	assert.Equal(t, "sudden", fault.Find("fan stalled").Onset.String())
	assert.Equal(t, "drifting", fault.Find("slow leak").Onset.String())
	assert.Equal(t, "intermittent", fault.Find("stop wire loose").Onset.String())
}
