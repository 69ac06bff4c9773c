package plant

import (
	"time"

	"bathtender/hal"
)

// relay is a contactor or a relay: its contacts follow the coil after a delay.
type relay struct {
	closed bool
	wait   time.Duration // for which the coil has been other than the contacts
}

// span is the part of a step for which contacts are closed, from its start.
type span struct{ from, to time.Duration }

// both returns the part that two contacts in series are closed for.
func (s span) both(other span) span {
	return span{max(s.from, other.from), min(s.to, other.to)}
}

// share returns the part of a step that the contacts are closed for, 0 to 1.
func (s span) share(step time.Duration) float64 {
	return float64(max(s.to-s.from, 0)) / float64(step)
}

// step moves the contacts on with the coil as given.
func (r *relay) step(coil bool, c *ContactConfig, h time.Duration) span {
	was := r.closed
	turn := h
	if coil == r.closed {
		r.wait = 0
	} else {
		delay := c.PickUp
		if r.closed {
			delay = c.DropOut
		}
		left := delay - r.wait
		if left > h {
			r.wait += h
		} else {
			turn = max(left, 0)
			r.closed, r.wait = coil, 0
		}
	}
	switch {
	case was && r.closed:
		return span{0, h}
	case was:
		return span{0, turn}
	case r.closed:
		return span{turn, h}
	}
	return span{}
}

// hold puts the contacts where a fault holds them.
func (r *relay) hold(closed bool, h time.Duration) span {
	*r = relay{closed: closed}
	if closed {
		return span{0, h}
	}
	return span{}
}

// shares are the parts of a step for which heater and banks have power.
type shares struct {
	heater float64
	banks  [hal.MaxBanks]float64
}

// stepRelays moves contactor and relays on.
func (p *Plant) stepRelays(h time.Duration) (on shares) {
	c, f, b := &p.config.Contact, &p.Faults, &p.config.Board
	live := p.mains.live(p.config.Supply.Volts) && p.mains.gone <= holdUp+c.DropOut
	coil := p.board.applied.Contactor && live &&
		(p.board.beating || !b.HeartbeatInCoil || f.HeartbeatWelded) && !(p.stopOpen() && b.StopInCoil)
	main := p.contactor.step(coil, c, h)
	switch {
	case f.ContactorWontClose:
		main = p.contactor.hold(false, h)
	case f.ContactorWelded:
		main = p.contactor.hold(true, h)
	}
	heater := p.heater.step(p.board.applied.Heater && live, c, h)
	if f.HeaterWelded {
		heater = p.heater.hold(true, h)
	}
	on.heater = heater.both(main).share(h)
	for i := range p.config.Banks {
		relay := p.relays[i].step(p.board.applied.Banks.Has(i) && live, c, h)
		if f.BankWelded[i] {
			relay = p.relays[i].hold(true, h)
		}
		on.banks[i] = relay.both(main).share(h)
	}
	return on
}
