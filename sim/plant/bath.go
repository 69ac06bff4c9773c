package plant

import (
	"math"

	"bathtender/firmware/thermal"
)

// bath is the liquid with the steel around it.
type bath struct {
	temperature float64 // K
	mass        float64 // kg of liquid
	level       float64 // m
	litres      float64
	evaporated  float64 // kg since the start, boiling included
}

func (b *bath) start(temperature, litres float64) {
	b.temperature = temperature
	b.mass = litres / 1000 * thermal.WaterDensity(temperature)
}

// stepBath moves the bath on by h s with so many W into it.
func (p *Plant) stepBath(in, h float64) {
	b, f, loss := &p.bath, &p.Faults, &p.slow.loss
	room := float64(p.config.Tank.Fittings*(b.temperature-p.World.Room)) + loss.Walls + loss.Surface
	heat := float64(h * (in - room - loss.Floor))
	p.ledger.lost += float64(h * room)

	vapour := math.Min(float64(h*loss.Vapour), b.mass)
	heat -= p.evaporate(vapour)

	// Litres a minute to kilograms in this step.
	scale := h / 60 / 1000 * p.slow.density
	p.puddle += float64(p.pourOff(float64(scale*math.Max(0, f.LeakRate))) / p.slow.density * 1000)
	p.pourOff(float64(scale * math.Max(0, f.DrainRate)))
	heat += p.pourIn(float64(scale * math.Max(0, f.PourRate)))

	capacity := float64(b.mass*p.slow.heat) + p.config.Tank.Steel
	b.temperature += heat / capacity
	if b.temperature > p.slow.boiling && b.mass > 0 {
		p.boil(capacity)
	}
	p.fill()
	if f.LeakRate <= 0 {
		// Somebody mops up what no longer comes: gone in some ten minutes.
		p.puddle -= float64(p.puddle * h / 300)
	}
}

// evaporate takes vapour away, in kg and at most what there is, and returns the
// latent heat in J that it takes from the rest.
func (p *Plant) evaporate(vapour float64) float64 {
	latent := float64(vapour * p.slow.latent)
	p.bath.mass -= vapour
	p.bath.evaporated += vapour
	p.ledger.lost += latent
	p.ledger.carried -= float64(vapour * p.enthalpy())
	return latent
}

// pourOff takes liquid away, in kg, and returns how much there was to take.
func (p *Plant) pourOff(mass float64) float64 {
	mass = math.Min(mass, p.bath.mass)
	p.bath.mass -= mass
	p.ledger.carried -= float64(mass * p.enthalpy())
	return mass
}

// pourIn adds liquid, in kg, and returns the heat in J that it brings over what
// it would have at the bath's temperature.
func (p *Plant) pourIn(mass float64) float64 {
	if !(mass > 0) {
		return 0
	}
	temperature := p.Faults.PourTemperature
	if temperature == 0 {
		temperature = p.World.Room
	}
	p.bath.mass += mass
	brings := float64(mass * thermal.WaterEnthalpy(temperature))
	p.ledger.carried += brings
	return brings - float64(mass*p.enthalpy())
}

// boil turns the heat above the boiling point into steam.
func (p *Plant) boil(capacity float64) {
	b := &p.bath
	excess := float64((b.temperature - p.slow.boiling) * capacity)
	steam := math.Min(excess/p.slow.latent, b.mass)
	b.temperature -= p.evaporate(steam) / capacity
}

// fill works the level out, and lets what is over the rim run to the floor.
func (p *Plant) fill() {
	b, t := &p.bath, &p.config.Tank
	area := float64(t.Length * t.Width)
	over := b.mass/p.slow.density - float64(area*t.Depth)
	if over > 0 {
		p.puddle += float64(1000 * p.pourOff(float64(over*p.slow.density)) / p.slow.density)
	}
	b.litres = 1000 * b.mass / p.slow.density
	b.level = b.litres / 1000 / area
}

// enthalpy returns that of the bath's water in J/kg, from 0 degC: the slow
// grid's, and the little that the bath has warmed since.
func (p *Plant) enthalpy() float64 {
	return p.slow.enthalpy + float64(p.slow.heat*(p.bath.temperature-p.slow.temperature))
}
