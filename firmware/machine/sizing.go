package machine

import (
	"math"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/thermal"
	"bathtender/hal"
)

const (
	litresPerUSGallon = 3.785411784 // exact
	// ruleWattsPerUSGallon suits bench tanks; larger ones need less. Common
	// practice, no source: to compare with, never to pass or fail by.
	ruleWattsPerUSGallon = 100.0
)

// Sizing is the sizing sheet of a tank: what its builder works out before buying
// parts. Units are in the names. A time of 0 means that it is never reached.
type Sizing struct {
	Name       string     `json:"name"`
	Conditions Conditions `json:"-"`
	Basis      string     `json:"basis"` // the conditions in words

	FillLitres    float64 `json:"fill_l"`
	FillGallons   float64 `json:"fill_us_gal"`
	MinimumLitres float64 `json:"minimum_l"`
	BrimLitres    float64 `json:"brim_l"`
	FillKilograms float64 `json:"fill_kg"`
	// Detergent is the concentrate for one fill; 0 for water alone.
	DetergentMillilitres float64 `json:"detergent_ml"`

	EmitterWatts   float64 `json:"emitters_W"`
	WattsPerLitre  float64 `json:"emitters_W_per_l"`
	WattsPerGallon float64 `json:"emitters_W_per_us_gal"`
	// RuleWatts is what the common rule of 100 W per US gallon asks for.
	RuleWatts float64 `json:"rule_W"`
	// Loading is the emitters' watts over the area of the floor.
	LoadingWattsPerCM2 float64 `json:"floor_loading_W_per_cm2"`

	HeaterWatts float64 `json:"heater_W"`
	// The time from a fresh fill to the set temperature: of the water without
	// any loss, and of water and tank with the losses.
	HeatUpLosslessSeconds float64 `json:"heat_up_lossless_s"`
	HeatUpLiddedSeconds   float64 `json:"heat_up_lidded_s"`
	HeatUpOpenSeconds     float64 `json:"heat_up_open_s"`
	// What emission does without the heater: how fast it starts to warm the
	// bath, and where that ends.
	EmissionKelvinPerHour float64 `json:"emission_K_per_h"`
	EmissionLiddedCelsius float64 `json:"emission_levels_off_lidded_degC"`
	EmissionOpenCelsius   float64 `json:"emission_levels_off_open_degC"`

	// Losses of the warm bath.
	LossOpenWatts           float64 `json:"loss_open_W"`
	LossLiddedWatts         float64 `json:"loss_lidded_W"`
	EvaporationOpenLitres   float64 `json:"evaporation_open_l_per_h"`
	EvaporationLiddedLitres float64 `json:"evaporation_lidded_l_per_h"`
	HoursToMinimumOpen      float64 `json:"fill_to_minimum_open_h"`
	HoursToMinimumLidded    float64 `json:"fill_to_minimum_lidded_h"`
	LoadWatts               float64 `json:"load_W"`
	LoadAmperes             float64 `json:"load_A"`
	LoadAmperesHighest      float64 `json:"load_at_highest_mains_A"`
	OutletAmperes           float64 `json:"outlet_A"`
}

// Sizing works the sheet out for the given conditions. Losses above 40 degC are
// extrapolated and may be off by a factor of two; see package thermal.
func (m *Machine) Sizing(c Conditions) Sizing {
	s := Sizing{Name: m.Name, Conditions: c, Basis: c.sentence()}
	m.sizeFill(&s)
	m.sizeEmitters(&s)
	m.sizeHeat(&s)
	m.sizeLosses(&s)
	m.sizeOutlet(&s)
	return s
}

func litres(v hal.Volume) float64 { return float64(v) / float64(hal.Litre) }

func (m *Machine) sizeFill(s *Sizing) {
	s.FillLitres = litres(m.Volume(m.Tank.Fill))
	s.FillGallons = s.FillLitres / litresPerUSGallon
	s.MinimumLitres = litres(m.Volume(m.Tank.Minimum))
	s.BrimLitres = litres(m.Volume(m.Tank.Depth))
	s.FillKilograms = s.FillLitres / 1000 * thermal.WaterDensity(kelvins(s.Conditions.Fresh))
	// Strictly 1:10 is one part in eleven. Common practice (no source) reads it
	// as a tenth of the bath, and that is what people measure out.
	if m.Liquid.Water > 0 {
		s.DetergentMillilitres = 1000 * s.FillLitres / float64(m.Liquid.Water)
	}
}

func (m *Machine) sizeEmitters(s *Sizing) {
	s.EmitterWatts = watts(m.emitterPower())
	s.WattsPerLitre = ratio(s.EmitterWatts, s.FillLitres)
	s.WattsPerGallon = ratio(s.EmitterWatts, s.FillGallons)
	s.RuleWatts = ruleWattsPerUSGallon * s.FillGallons
	s.LoadingWattsPerCM2 = ratio(s.EmitterWatts, 1e4*metres(m.Tank.Length)*metres(m.Tank.Width))
}

func (m *Machine) sizeHeat(s *Sizing) {
	c, room := &s.Conditions, s.Conditions.room()
	from, to := kelvins(c.Fresh), kelvins(c.Set)
	s.HeaterWatts = watts(m.Heater.Power)
	if s.HeaterWatts > 0 {
		heat := s.FillKilograms * (thermal.WaterEnthalpy(to) - thermal.WaterEnthalpy(from))
		s.HeatUpLosslessSeconds = math.Max(0, heat/s.HeaterWatts)
		s.HeatUpOpenSeconds = finite(m.heatUp(s.HeaterWatts, s.FillKilograms, from, to, m.vessel(false), room))
		s.HeatUpLiddedSeconds = finite(m.heatUp(s.HeaterWatts, s.FillKilograms, from, to, m.vessel(true), room))
	}
	s.EmissionKelvinPerHour = ratio(3600*s.EmitterWatts, s.FillKilograms*thermal.WaterHeatCapacity(from)+m.TankHeat())
	s.EmissionOpenCelsius = levelsOff(s.EmitterWatts, m.vessel(false), room) - thermal.ZeroCelsius
	s.EmissionLiddedCelsius = levelsOff(s.EmitterWatts, m.vessel(true), room) - thermal.ZeroCelsius
}

func (m *Machine) sizeLosses(s *Sizing) {
	set, room := kelvins(s.Conditions.Set), s.Conditions.room()
	open, lidded := m.vessel(false).Loss(set, room), m.vessel(true).Loss(set, room)
	s.LossOpenWatts, s.LossLiddedWatts = open.Heat(), lidded.Heat()
	// Litres as they are topped up: of water as cold as a fresh fill.
	perLitre := thermal.WaterDensity(kelvins(s.Conditions.Fresh)) / 1000
	s.EvaporationOpenLitres = 3600 * open.Vapour / perLitre
	s.EvaporationLiddedLitres = 3600 * lidded.Vapour / perLitre
	s.HoursToMinimumOpen = ratio(s.FillLitres-s.MinimumLitres, s.EvaporationOpenLitres)
	s.HoursToMinimumLidded = ratio(s.FillLitres-s.MinimumLitres, s.EvaporationLiddedLitres)
}

func (m *Machine) sizeOutlet(s *Sizing) {
	load := m.load()
	amperes := func(a physic.ElectricCurrent) float64 { return float64(a) / float64(physic.Ampere) }
	s.LoadWatts = watts(load)
	s.LoadAmperes = amperes(current(load, m.Mains.Nominal))
	// A heater's current rises with the voltage; that of the rest at most so.
	s.LoadAmperesHighest = s.LoadAmperes * ratio(float64(m.Mains.High), float64(m.Mains.Nominal))
	s.OutletAmperes = amperes(m.Mains.Outlet)
}

func ratio(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}

func finite(x float64) float64 {
	if math.IsInf(x, 0) {
		return 0
	}
	return x
}
