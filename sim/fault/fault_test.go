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
// place, and End makes it healthy again.
func TestEachFaultChangesThePlantAndEndTakesItAway(t *testing.T) {
	seen := map[plant.Faults]string{}
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
			assert.Empty(t, seen[faults], "%s does the same", f)
			seen[faults] = f.String()
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
	} {
		assert.Equal(t, want, f.String())
	}
}
