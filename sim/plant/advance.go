package plant

import "time"

// advance moves everything on by one step of at most 100 ms. Every flow of heat
// or mass is worked out once and booked at both of its ends, so nothing gets
// lost. Small nodes are implicit, so that no step is too long for them; the bath
// and the cabinet are slow, and the flows between nodes are those of the step's
// start.
func (p *Plant) advance(step time.Duration) {
	p.rates.set(step, &p.config.Lag)
	h := p.rates.h
	p.time += step
	p.slow.wait -= step
	if p.slow.wait <= 0 {
		p.refresh(slowStep.Seconds())
		p.slow.wait += slowStep
	}
	p.stepMains(step)
	p.board.step(step, &p.config.Board, p.Faults.LeaseStuck)
	on := p.stepRelays(step)
	p.stepFans(step, h)

	p.drawn = drawn{standby: p.standby()}
	p.drawn.fans = p.fanDraw()
	air := p.drawn.standby + p.drawn.fans
	bath := p.stepPlate(on.heater, h)
	toBath, toAir := p.stepBanks(&on.banks, h)
	bath += toBath
	air += toAir
	p.stepHeatSwitches()
	p.stepCabinet(air+p.slow.loss.Floor, h)
	p.stepBath(bath, h)
	p.ledger.electrical += float64(p.drawn.total() * h)

	p.stepProbes(step)
	p.stepFloat()
	if !p.Faults.MeterFrozen {
		p.meter.measure(p.drawn.total(), p.mains.volts, h)
	}
	p.meter.step(step, &p.config.Meter, &p.Faults)
}
