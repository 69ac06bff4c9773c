package plant

import (
	"time"

	"bathtender/firmware/thermal"
)

// slowStep is how often the properties and the losses of the bath are worked
// out. At the fastest heating of a dry tank that is half a kelvin.
const slowStep = time.Second

// slow is what changes slowly.
type slow struct {
	wait time.Duration // until the next time

	temperature float64 // K, of the bath when this was worked out
	density     float64 // kg/m3
	heat        float64 // J/(kg K)
	latent      float64 // J/kg
	enthalpy    float64 // J/kg
	boiling     float64 // K
	loss        thermal.Loss
}

// refresh works out what changes slowly, and ages what has been warm for some
// seconds since the last time.
func (p *Plant) refresh(since float64) {
	t, bath := &p.config.Tank, p.bath.temperature
	p.slow.temperature = bath
	p.slow.density = thermal.WaterDensity(bath)
	p.slow.heat = thermal.WaterHeatCapacity(bath)
	p.slow.latent = thermal.LatentHeat(bath)
	p.slow.enthalpy = thermal.WaterEnthalpy(bath)
	p.slow.boiling = thermal.BoilingPoint(thermal.StandardPressure)
	p.fill()

	vessel := thermal.Vessel{
		Length: t.Length, Width: t.Width, Level: p.bath.level,
		Emissivity: t.Emissivity, LidOn: p.lidOn(), Activity: thermal.Quiet,
	}
	if p.emitting() != 0 {
		vessel.Activity = thermal.Agitated
	}
	w := p.World
	if p.Faults.Draught > 0 {
		w.AirSpeed = p.Faults.Draught
	}
	loss := vessel.Loss(bath, thermal.Room{
		Temperature: w.Room, Humidity: w.Humidity, Speed: w.AirSpeed, Under: p.cabinet,
	})
	// The last millimetre no longer covers the floor.
	if p.bath.level < 0.001 {
		loss.Vapour = float64(loss.Vapour * (p.bath.level / 0.001))
	}
	loss.Walls = float64(loss.Walls * t.WallLoss)
	loss.Floor = float64(loss.Floor * t.WallLoss)
	loss.Surface = float64(loss.Surface * t.SurfaceLoss)
	loss.Vapour = float64(loss.Vapour * t.Vapour)
	p.slow.loss = loss
	p.age(since)
}

// Rated temperatures, in K, for the ageing: insulation class 155 (F) of
// IEC 60085, and what bonded emitters stand for long (common practice, no
// source).
const (
	windingRated = thermal.ZeroCelsius + 155
	jointRated   = thermal.ZeroCelsius + 80
)

// age uses life up: at 10 K more twice as fast (Montsinger's rule for
// insulation; for joints the same, common practice, no source).
func (p *Plant) age(seconds float64) {
	hours := seconds / 3600
	for i := range p.config.Banks {
		b := &p.banks[i]
		b.windingAge += float64(hours * thermal.Exp2((b.winding-windingRated)/10))
		b.jointAge += float64(hours * thermal.Exp2((b.joint-jointRated)/10))
	}
}
