package plant

import (
	"math"

	"bathtender/hal"
)

// wet returns how much of the height from bottom to top the liquid covers, 0 to
// 1.
func (p *Plant) wet(bottom, top float64) float64 {
	return share((p.bath.level - bottom) / (top - bottom))
}

// detached is what a pad that has come off still passes to the tank, as a share.
const detached = 0.03

// stepPlate moves the heater's plate on by h s and returns the W that it passes
// to the bath. A resistive element takes the square of the voltage. A plate
// without liquid behind it keeps its heat and runs away.
func (p *Plant) stepPlate(on, h float64) float64 {
	c := &p.config.Heater
	power := float64(c.Power * p.mains.square * on * (1 - share(p.Faults.HeaterLoss)))
	if p.Faults.HeaterOpen {
		power = 0
	}
	p.drawn.heater = power
	toBath := c.Dry + float64((c.Wet-c.Dry)*p.wet(c.Bottom, c.Top))
	if p.Faults.HeaterDetached {
		toBath = float64(toBath * detached)
	}
	out := toBath + c.Air
	if !(c.Plate+out > 0) {
		return power
	}
	in := float64(toBath*p.bath.temperature) + float64(c.Air*p.World.Room)
	p.plate = (float64(c.Plate*p.plate) + float64(h*(power+in))) / (c.Plate + float64(h*out))
	p.ledger.lost += float64(h * c.Air * (p.plate - p.World.Room))
	return float64(toBath * (p.plate - p.bath.temperature))
}

// bank is the state of one bank.
type bank struct {
	winding, joint float64 // K
	draw           float64 // W, mean over the last step
	emitting       bool
	// Life used up, in hours at the rated temperature.
	windingAge, jointAge float64
	// short is for how many s its driver has been shorted under power, blown that
	// its fuse is.
	short float64
	blown bool
}

// FilmDepth is the depth of liquid in m that loads the emitters under the floor
// fully: about half a wavelength at 40 kHz (19 mm at 60 degC).
const FilmDepth = 0.019

// stepBanks moves all drivers and emitters on by h s, with each bank powered for
// a share of it, and returns the W that reach the bath and the cabinet's air.
func (p *Plant) stepBanks(on *[hal.MaxBanks]float64, h float64) (toBath, toAir float64) {
	loaded := p.wet(0, FilmDepth)
	d := &p.config.Driver
	load := d.Unloaded + float64((1-d.Unloaded)*loaded)
	bond := d.BondDry + float64((d.Bond-d.BondDry)*loaded)
	// Heat transfer to air along a surface goes with the root of its speed
	// (laminar boundary layer, any textbook).
	blown := math.Sqrt(p.fans.full)
	for i := range p.config.Banks {
		c, b := &p.config.Bank[i], &p.banks[i]
		load, bond, loaded := load, bond, loaded
		if loose := p.loose(i); loose > 0 {
			// What has come off has nothing to load it and nothing to cool it.
			load = float64(load*(1-loose)) + float64(d.Unloaded*loose)
			loaded = float64(loaded * (1 - loose))
			bond = d.BondDry + float64((d.Bond-d.BondDry)*loaded)
		}
		b.draw = float64(c.Draw * p.mains.square * load * p.working(i) * on[i])
		loss := d.Loss
		if p.Faults.BankShorted[i] || b.blown {
			b.draw, loss = p.short(i, on[i], h), 1 // nothing of it gets to the emitters
		}
		b.emitting = b.draw > 0
		p.drawn.banks += b.draw
		lost := float64(b.draw * loss)
		copper := float64(lost * d.Windings)
		sound := b.draw - lost
		warm := float64(sound * bond)

		toCabinet := c.Still + float64((c.Blown-c.Still)*blown)
		b.winding = (float64(c.Winding*b.winding) + float64(h*(copper+float64(toCabinet*p.cabinet)))) /
			(c.Winding + float64(h*toCabinet))
		toAir += lost - copper + float64(toCabinet*(b.winding-p.cabinet))

		toTank := c.JointDry + float64((c.JointWet-c.JointDry)*loaded)
		in := float64(toTank*p.bath.temperature) + float64(c.JointAir*p.cabinet)
		b.joint = (float64(c.Joint*b.joint) + float64(h*(warm+in))) /
			(c.Joint + float64(h*(toTank+c.JointAir)))
		toAir += float64(c.JointAir * (b.joint - p.cabinet))
		toBath += sound - warm + float64(toTank*(b.joint-p.bath.temperature))
	}
	return toBath, toAir
}

// loose returns the share of a bank's emitters that have come off.
func (p *Plant) loose(i int) float64 {
	emitters := p.config.Bank[i].Emitters
	return float64(min(max(p.Faults.EmittersLoose[i], 0), emitters)) / float64(emitters)
}

// A driver that shorts its supply takes many times its draw until its fuse
// blows: a quick one at ten times its rating within some tenths of a second
// (IEC 60127-2, from memory).
const (
	shortDraw = 10
	fuseTime  = 0.2 // s
)

// short returns the draw of a bank whose driver has a short, or whose fuse is
// blown.
func (p *Plant) short(i int, on, h float64) float64 {
	b := &p.banks[i]
	if b.blown {
		return 0
	}
	b.short += float64(on * h)
	b.blown = b.short >= fuseTime
	return float64(p.config.Bank[i].Draw * shortDraw * p.mains.square * on)
}

// working returns the draw of a bank over that of a healthy one.
func (p *Plant) working(i int) float64 {
	if p.Faults.BankDead[i] {
		return 0
	}
	emitters := p.config.Bank[i].Emitters
	alive := emitters - min(max(p.Faults.EmittersDead[i], 0), emitters)
	return float64(float64(alive) / float64(emitters) * math.Max(0, 1+p.Faults.BankDrift[i]))
}

// airHeat is the heat capacity of a cubic metre of air at 20 degC in J/K: 1.2
// kg/m3 and 1006 J/(kg K).
const airHeat = 1.2 * 1006

// stepCabinet moves the cabinet's air on by h s with so many W into it. It
// loses them to the room with the air that the fans exchange and through its
// sheets.
func (p *Plant) stepCabinet(in, h float64) {
	c := &p.config.Cabinet
	out := float64(airHeat*p.fans.flow) + c.Shell
	p.cabinet = (float64(c.Heat*p.cabinet) + float64(h*(in+float64(out*p.World.Room)))) /
		(c.Heat + float64(h*out))
	p.ledger.lost += float64(h * out * (p.cabinet - p.World.Room))
}
