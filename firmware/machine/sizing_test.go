package machine

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/thermal"
)

// bench returns a tank with inside measures and fill in mm, and emitters.
func bench(length, width, depth, fill int, emitters physic.Power) *Machine {
	const mm = physic.MilliMetre
	return &Machine{
		Tank: Tank{
			Length: physic.Distance(length) * mm, Width: physic.Distance(width) * mm, Depth: physic.Distance(depth) * mm,
			Fill: physic.Distance(fill) * mm, Minimum: physic.Distance(fill) * mm / 2, Wall: mm,
		},
		Mains:  Mains{Nominal: 230 * physic.Volt, Low: 207 * physic.Volt, High: 253 * physic.Volt, Outlet: 16 * physic.Ampere},
		Banks:  []Bank{{Emitters: 1, Emitter: emitters, Draw: emitters}},
		Limits: Limits{Bath: celsius(70)},
	}
}

func size(m *Machine) Sizing { return m.Sizing(m.UsualConditions()) }

// Common practice, no source: a 10 litre tank with 200 W has 20 W/l; filled to 8
// litres 25 W/l, or about 95 W per US gallon.
func TestWattsPerLitre(t *testing.T) {
	full := size(bench(250, 200, 200, 200, 200*physic.Watt))
	assert.InDelta(t, 10, full.FillLitres, 1e-9)
	assert.InDelta(t, 20, full.WattsPerLitre, 1e-9)
	eight := size(bench(250, 200, 200, 160, 200*physic.Watt))
	assert.InDelta(t, 25, eight.WattsPerLitre, 1e-9)
	assert.InDelta(t, 95, eight.WattsPerGallon, 0.5)
	assert.InDelta(t, 10, eight.BrimLitres, 1e-9)
}

// Common practice, no source: about 100 W per US gallon; a tray of 16 litres is
// about 4.2 US gallons and asks for about 420 W. A US gallon is 3.785411784 l.
func TestCommonRule(t *testing.T) {
	s := size(bench(400, 200, 250, 200, 420*physic.Watt))
	assert.InDelta(t, 16, s.FillLitres, 1e-9)
	assert.InDelta(t, 4.2, s.FillGallons, 0.05)
	assert.InDelta(t, 420, s.RuleWatts, 5)
	assert.InDelta(t, 26.417, s.RuleWatts/s.FillLitres, 0.001) // oracle section 11
}

// Common practice, no source: 1:10 is a tenth of the bath, so 5 litres take
// 500 ml (strictly one part in eleven would be 455 ml).
func TestDetergent(t *testing.T) {
	m := bench(250, 200, 200, 100, 100*physic.Watt)
	m.Liquid.Water = 10
	assert.InDelta(t, 5, size(m).FillLitres, 1e-9)
	assert.InDelta(t, 500, size(m).DetergentMillilitres, 1e-9)
	m.Liquid.Water = 0
	assert.Zero(t, size(m).DetergentMillilitres)
}

// 10.0 litres filled at 20 degC to 60 degC without loss: 1669.1 s at 1 kW,
// 3338.2 s at 500 W (oracle O6.2, IAPWS enthalpies, 0.3 %).
func TestHeatUpWithoutLosses(t *testing.T) {
	m := bench(250, 200, 250, 200, 200*physic.Watt)
	m.Heater.Power = physic.KiloWatt
	assert.InEpsilon(t, 1669.1, size(m).HeatUpLosslessSeconds, 0.003)
	m.Heater.Power = 500 * physic.Watt
	assert.InEpsilon(t, 3338.2, size(m).HeatUpLosslessSeconds, 0.003)
}

// The demo tank by hand: 19.8 l x 0.998207 kg/l x 167.2097 kJ/kg (oracle O6.2)
// over 1 kW is 3304.8 s; losses make it longer, more so without the lid.
func TestHeatUpOfTheDemo(t *testing.T) {
	s := size(demo(t))
	assert.InEpsilon(t, 19.7645, s.FillKilograms, 1e-4)
	assert.InEpsilon(t, 3304.8, s.HeatUpLosslessSeconds, 0.001)
	assert.Greater(t, s.HeatUpLiddedSeconds, s.HeatUpLosslessSeconds*1.02, "the steel alone is 2.5 % of the water")
	assert.Greater(t, s.HeatUpOpenSeconds, s.HeatUpLiddedSeconds)
	assert.Less(t, s.HeatUpOpenSeconds, 3304.8*1000/(1000-s.LossOpenWatts)*1.05, "no slower than with the full loss throughout")
}

// heatUp against the exact lumped solution t = tau ln((T-inf - T0)/(T-inf - T1)),
// with the losses linearised at both ends as bounds.
func TestHeatUpIsBetweenConstantLosses(t *testing.T) {
	m := demo(t)
	c := m.UsualConditions()
	vessel, room := m.vessel(false), c.room()
	from, to := kelvins(c.Fresh), kelvins(c.Set)
	kg, heat := 19.7645, 0.0
	heat = kg*(thermal.WaterEnthalpy(to)-thermal.WaterEnthalpy(from)) + m.TankHeat()*(to-from)
	least, most := vessel.Loss(from, room).Heat(), vessel.Loss(to, room).Heat()
	got := m.heatUp(1000, kg, from, to, vessel, room)
	assert.Greater(t, got, heat/(1000-least))
	assert.Less(t, got, heat/(1000-most))
	assert.True(t, math.IsInf(m.heatUp(most/2, kg, from, to, vessel, room), 1), "half the losses never get there")
}

// Steel by hand: 0.51 m2 of 1 mm, 7900 kg/m3, 500 J/(kg K): 2014.5 J/K.
func TestTankHeat(t *testing.T) {
	m := demo(t)
	assert.InDelta(t, 2014.5, m.TankHeat(), 0.1)
	// A second millimetre takes 2014.5 J/K x 40 K more: 80.58 s of 1 kW, and
	// more with the losses.
	thin := size(m)
	m.Tank.Wall *= 2
	thick := size(m)
	assert.Greater(t, thick.HeatUpLiddedSeconds-thin.HeatUpLiddedSeconds, 80.58)
	assert.Less(t, thick.HeatUpLiddedSeconds-thin.HeatUpLiddedSeconds, 80.58/(1-0.2))
}

// A tray of 530 x 325 mm is size 1/1 of EN 631-1 (oracle O9.10). At 60 degC in
// air of 20 degC and 50 % that moves at 0.1 m/s its open surface loses 0.478 kg
// of water an hour, 313 W (oracle O7.1; extrapolated above 40 degC).
func TestEvaporation(t *testing.T) {
	s := size(bench(530, 325, 150, 100, 300*physic.Watt))
	perLitre := 0.998207 // kg, at 20 degC (oracle O6.2)
	assert.InEpsilon(t, 0.478, s.EvaporationOpenLitres*perLitre, 0.002)
	// A bath open half its fill: 8.61 litres at that rate.
	assert.InEpsilon(t, 17.225/2*perLitre/0.478, s.HoursToMinimumOpen, 0.002)
	assert.Greater(t, s.HoursToMinimumLidded, 5*s.HoursToMinimumOpen)
	m := bench(530, 325, 150, 100, 300*physic.Watt)
	loss := m.vessel(false).Loss(kelvins(celsius(60)), (&Conditions{Air: celsius(20), Humidity: 500}).room())
	assert.InEpsilon(t, 313, loss.Evaporation, 0.002)
}

// By hand: (1000 + 6 x 81 + 2 x 4 + 6) W at 230 V is 6.52 A, at 253 V a tenth more.
func TestOutlet(t *testing.T) {
	s := size(demo(t))
	assert.InDelta(t, 1500, s.LoadWatts, 1e-9)
	assert.InDelta(t, 6.5217, s.LoadAmperes, 1e-4)
	assert.InDelta(t, 7.1739, s.LoadAmperesHighest, 1e-4)
	assert.InDelta(t, 16, s.OutletAmperes, 1e-9)
}

func TestEmissionAlone(t *testing.T) {
	m := demo(t)
	c := m.UsualConditions()
	s := m.Sizing(c)
	// By hand: 480 W x 3600 s over 19.7645 kg x 4184.05 J/(kg K) + 2014.5 J/K.
	assert.InEpsilon(t, 480*3600/(19.7645*4184.05+2014.5), s.EmissionKelvinPerHour, 1e-4)
	// Where it levels off the losses are what the emitters put in.
	assert.InDelta(t, 480, m.vessel(false).Loss(s.EmissionOpenCelsius+273.15, c.room()).Heat(), 0.01)
	assert.Greater(t, s.EmissionLiddedCelsius, s.EmissionOpenCelsius)
	assert.InDelta(t, 480.0/1800, s.LoadingWattsPerCM2, 1e-9)
}

func TestUsualConditionsStayUnderTheLimit(t *testing.T) {
	m := demo(t)
	assert.Equal(t, celsius(60), m.UsualConditions().Set)
	m.Limits.Bath = celsius(50)
	assert.Equal(t, celsius(45), m.UsualConditions().Set)
}

func TestSizingText(t *testing.T) {
	s := size(demo(t))
	text := s.Text()
	for _, line := range strings.Split(text, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
	assert.Contains(t, text, "\nfill                              19.8 l (5.2 US gal), 19.8 kg\n")
	assert.Contains(t, text, "\ndetergent for a fill              396 ml\n")
	assert.Contains(t, text, "\nemitters                          480 W: 24.2 W/l, 92 W per US gal\n")
	assert.Contains(t, text, "\nheat-up time without losses       55 min\n")
	assert.Contains(t, text, "\neverything on                     1500 W, 6.5 A of the outlet's 16 A\n")

	m := demo(t)
	m.Heater.Power = 0
	s = size(m)
	assert.Contains(t, s.Text(), "\nheater                            none\n")
	m.Heater.Power = 100 * physic.Watt
	s = size(m)
	assert.Contains(t, s.Text(), "\nwith losses                       never lidded, never open\n")
}

func TestSizingJSON(t *testing.T) {
	m := demo(t)
	m.Heater.Power = physic.Watt // never gets there
	data, err := json.Marshal(size(m))
	require.NoError(t, err)
	var back map[string]any
	require.NoError(t, json.Unmarshal(data, &back))
	assert.InDelta(t, 19.8, back["fill_l"], 1e-9)
	assert.Zero(t, back["heat_up_open_s"])
	assert.Contains(t, back["basis"], "60 °C")
}
