package bench

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// What a healthy cabinet shows, as far as that follows from what is commanded.

// Own choice, near what small fans do: they take so long to their speed, and to
// a stand.
const (
	spinUp   = 2 * time.Second
	spinDown = 4 * time.Second
)

// wobble is what the mains is off at one tick after another, so that the meter
// does not look frozen.
var wobble = [...]physic.ElectricPotential{0, physic.Volt / 10, 0, -physic.Volt / 10}

// behave lets everything that is followed do what it does by itself.
func (b *Bench) behave(elapsed time.Duration) {
	if b.mains.follows {
		b.mains.value = b.mains.around + int64(wobble[b.ticks%int64(len(wobble))])
	}
	live := b.live()
	for i, f := range b.Machine.Fans {
		if b.fans[i].follows {
			b.spin(&b.fans[i], int64(f.Nominal), live && b.Outputs.Fans, elapsed)
		}
	}
	if c := &b.contacts[aux]; c.follows {
		c.state = hal.ContactOf(live && b.Outputs.Contactor)
	}
	if b.watts.follows {
		b.watts.value = b.draw(live)
	}
}

// spin brings a fan nearer to its speed, or to a stand.
func (b *Bench) spin(a *analog, nominal int64, on bool, elapsed time.Duration) {
	if on {
		a.value = min(a.value+part(nominal, int64(min(elapsed, spinUp-1)), int64(spinUp)), nominal)
	} else {
		a.value = max(a.value-part(nominal, int64(min(elapsed, spinDown-1)), int64(spinDown)), 0)
	}
}

// live reports whether there is enough voltage for coils and power supplies:
// half of the nominal, as in the plant. Without a reading of it there is.
func (b *Bench) live() bool {
	return !b.mains.valid || b.mains.value >= int64(b.Machine.Mains.Nominal)/2
}

// draw returns the watts that everything commanded takes: heater and banks with
// the square of the voltage, the rest behind a power supply that keeps it even.
func (b *Bench) draw(live bool) int64 {
	if !live {
		return 0
	}
	total := int64(b.Machine.Meter.Standby)
	if b.Outputs.Fans {
		for _, f := range b.Machine.Fans {
			total += int64(f.Draw)
		}
	}
	if !b.Outputs.Contactor {
		return total
	}
	var loads int64
	if b.Outputs.Heater {
		loads += b.heater.value
	}
	for i := range b.Machine.Banks {
		if b.Outputs.Banks.Has(i) {
			loads += b.banks[i].value
		}
	}
	return total + b.atMains(loads)
}

// atMains scales watts at the nominal voltage to the present one. Microwatts and
// millivolts keep the products inside 64 bits.
func (b *Bench) atMains(nominal int64) int64 {
	if !b.mains.valid {
		return nominal
	}
	v, n := b.mains.value/int64(physic.MilliVolt), int64(b.Machine.Mains.Nominal/physic.MilliVolt)
	const micro = int64(physic.MicroWatt)
	once := nominal / micro * v / n
	return once * v / n * micro
}

// followable are the points that have a healthy answer to follow.
func (b *Bench) followable() []point {
	m := b.Machine
	list := []point{{kind: watts}}
	if m.Meter.Volts {
		list = append(list, point{kind: mains})
	}
	if m.Heater.Power > 0 {
		list = append(list, point{kind: heater})
	}
	for i := range m.Fans {
		list = append(list, point{fan, i})
	}
	for i := range m.Banks {
		list = append(list, point{bank, i})
	}
	for place := range contacts {
		if b.fitted(place) {
			list = append(list, point{contact, place})
		}
	}
	for place := range assents {
		list = append(list, point{assent, place})
	}
	return list
}

// fitted reports whether the machine has a contact.
func (b *Bench) fitted(place int) bool {
	c := &b.Machine.Contacts
	return [contacts]bool{level: c.Float, lid: c.Lid, stopLoop: true, leak: c.Leak, aux: c.Aux}[place]
}

// follow gives a point back to what a healthy cabinet shows; around is for the
// mains, 0 for nominal.
func (b *Bench) follow(p point, around int64) {
	m := b.Machine
	switch p.kind {
	case contact:
		c := &b.contacts[p.place]
		c.follows = true
		if p.place != aux {
			c.state = hal.Closed
		}
		return
	case assent:
		b.assents[p.place] = true
		return
	}
	a := b.knob(p)
	*a = analog{value: a.value, valid: true, follows: true}
	switch p.kind {
	case mains:
		if around == 0 {
			around = int64(m.Mains.Nominal)
		}
		a.value, a.around = around, around
	case heater:
		a.value = int64(m.Heater.Power)
	case bank:
		a.value = int64(m.Banks[p.place].Draw)
	}
}

func celsius(degrees int) int64 {
	return int64(physic.ZeroCelsius) + int64(degrees)*int64(physic.Kelvin)
}
