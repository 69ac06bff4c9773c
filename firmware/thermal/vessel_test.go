package thermal

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// slideTank is a long tank for brass slides, 900 x 200 mm, 110 mm of liquid.
var slideTank = Vessel{Length: 0.9, Width: 0.2, Level: 0.11, Emissivity: 0.25, Activity: Agitated}

var workshop = Room{Temperature: 293.15, Humidity: 0.5, Speed: 0.1, Under: 293.15}

func TestVesselEvaporationIsTheEquationTimesTheArea(t *testing.T) {
	// 2.7758 kg/(h m2) at 60/20 degC, 50 %, 0.1 m/s (see evaporation_test.go)
	// over 0.18 m2 is 0.49964 kg/h and 327.2 W.
	loss := slideTank.Loss(333.15, workshop)
	assert.InEpsilon(t, 0.49964, loss.Vapour*3600, 1e-3)
	assert.InEpsilon(t, 327.2, loss.Evaporation, 1e-3)
}

func TestVesselDryLossIsWithinTextbookCoefficients(t *testing.T) {
	// Textbooks give 2 to 25 W/(m2 K) for natural convection in gases
	// (Incropera and DeWitt, table 1.1, from memory); radiation adds up to 7.
	loss := slideTank.Loss(333.15, workshop)
	for name, coefficient := range map[string]float64{
		"walls":   loss.Walls / (2 * (0.9 + 0.2) * 0.11) / 40,
		"surface": loss.Surface / 0.18 / 40,
		"floor":   loss.Floor / 0.18 / 40,
	} {
		assert.True(t, coefficient > 2 && coefficient < 32, "%s: %g W/(m2 K)", name, coefficient)
	}
	assert.Greater(t, loss.Surface/0.18, loss.Floor/0.18, "hot air rises from the surface and hangs under the floor")
	assert.InDelta(t, loss.Walls+loss.Floor+loss.Surface+loss.Evaporation, loss.Heat(), 1e-9)
}

func TestLidSaves(t *testing.T) {
	open := slideTank.Loss(333.15, workshop)
	lidded := slideTank
	lidded.LidOn = true
	shut := lidded.Loss(333.15, workshop)
	assert.InEpsilon(t, LidVapour, shut.Vapour/open.Vapour, 1e-12)
	assert.InEpsilon(t, LidVapour, shut.Evaporation/open.Evaporation, 1e-12)
	assert.InEpsilon(t, LidHeat, shut.Surface/open.Surface, 1e-12)
	assert.Equal(t, open.Walls, shut.Walls)
}

func TestVesselGainsFromAWarmerRoom(t *testing.T) {
	cold := slideTank.Loss(283.15, workshop)
	assert.Negative(t, cold.Walls)
	assert.Negative(t, cold.Surface)
	assert.Negative(t, cold.Floor)
	assert.Zero(t, slideTank.Loss(293.15, workshop).Walls, "nothing flows without a difference")
}

func TestEmptyVesselHasOnlyItsFloor(t *testing.T) {
	empty := slideTank
	empty.Level = 0
	loss := empty.Loss(333.15, workshop)
	assert.Positive(t, loss.Floor)
	loss.Floor = 0
	assert.Equal(t, Loss{}, loss)
}

func TestNothingAllocates(t *testing.T) {
	var sum float64
	assert.Zero(t, testing.AllocsPerRun(100, func() { sum += slideTank.Loss(333.15, workshop).Heat() + WaterEnthalpy(300) }))
	assert.Positive(t, sum)
}

func BenchmarkVesselLoss(b *testing.B) {
	b.ReportAllocs()
	var sum float64
	for b.Loop() {
		sum += slideTank.Loss(333.15, workshop).Heat()
	}
	_ = sum
}
