package health

import (
	"fmt"
	"math"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/quantity"
)

// Record is what health keeps from session to session. It holds integers and
// arrays only, so that it can be copied, compared and stored. The zero Record
// is that of a new machine: no baselines, all banks in service, no fill known.
type Record struct {
	// Sessions is how many have ended.
	Sessions int
	Banks    [hal.MaxBanks]BankRecord
	// OutOfService are the banks that their owner has taken out.
	OutOfService hal.Banks
	Liquid       LiquidAge
}

// BankRecord is what is kept of a bank from session to session.
type BankRecord struct {
	// Baseline is the mean of the sessions since the bank was put into service,
	// as long as there is no drift; 0 until there were BaselineSessions.
	Baseline physic.Power
	// Total is what these sessions add up to, Counted how many they are.
	Total   physic.Power
	Counted int32
	// Sessions is how many have counted since the bank was put into service.
	Sessions int32
	// Cusum is in nanowatts over and under the baseline.
	Cusum Cusum
	// Recent are the bank's mean watts in the last sessions that counted, the
	// newest last; the rest in front is 0.
	Recent [RecentSessions]physic.Power
}

// fold takes the mean watts of one more session in. The draw is what the bank
// is held against until it has a baseline. Watts under the trip limit, or as
// far over, are a fault and no drift; they do not count.
func (b *BankRecord) fold(d *DriftDesign, draw, watts physic.Power) {
	expected := b.Baseline
	if expected == 0 {
		expected = draw
	}
	if limit := d.limit(expected); watts <= 0 || expected > 0 && (watts < limit || watts > 2*expected-limit) {
		return
	}
	copy(b.Recent[:], b.Recent[1:])
	b.Recent[RecentSessions-1] = watts
	b.Sessions = min(b.Sessions, countMost) + 1
	if b.Baseline > 0 {
		watts = b.chart(d, watts)
		if upper, lower := b.Cusum.Signals(d.Chart(b.Baseline)); upper || lower || b.Counted >= countMost {
			return // what has drifted is no baseline
		}
	}
	b.Total += watts
	if b.Counted++; b.Counted >= BaselineSessions {
		b.Baseline = b.Total / physic.Power(b.Counted)
	}
}

// chart puts a session's watts in the chart, and returns what of them counts.
//
// A baseline of n sessions is itself uncertain, and taken as certain it would
// make the chart warn far too often. The deviation from it has a variance of 1 +
// 1/n; divided by the root of that, deviations from a baseline that each session
// makes firmer are independent and of variance 1, as the chart's published run
// lengths ask for (recursive residuals: Brown, Durbin and Evans, J. R. Stat. Soc.
// B 37, 1975; self-starting CUSUM: D. M. Hawkins, The Statistician 36, 1987; from memory).
func (b *BankRecord) chart(d *DriftDesign, watts physic.Power) physic.Power {
	n := float64(max(b.Counted, 1))
	most := float64(outlying * d.Sigma(b.Baseline))
	shrink := math.Sqrt(n / (n + 1))
	deviation := min(max(float64(watts-b.Baseline)*shrink, -most), most)
	b.Cusum.Step(d.Chart(b.Baseline), int64(deviation))
	return b.Baseline + physic.Power(deviation/shrink)
}

// mean returns the mean watts of the last n sessions, n from 1.
func (b *BankRecord) mean(n int) physic.Power {
	sum := physic.Power(0)
	for _, w := range b.Recent[RecentSessions-n:] {
		sum += w
	}
	return sum / physic.Power(n)
}

// countMost bounds the counts: by then a baseline is as firm as it needs to be.
const countMost = 10000

// SessionResult is what one session has shown.
type SessionResult struct {
	// Measured are the banks that the meter has shown in this session, Watts
	// the mean of each, corrected to the nominal voltage.
	Measured hal.Banks
	Watts    [hal.MaxBanks]physic.Power
	// Emission is how long emitters were on.
	Emission time.Duration
	// Volume is the last estimate of the liquid, where there is one.
	Volume hal.Reading[hal.Volume]
}

// EndSession folds a session in. A bank that is out of service does not count.
func (r *Record) EndSession(d *DriftDesign, s *SessionResult) {
	r.Sessions++
	counting := s.Measured &^ r.OutOfService
	for i := range r.Banks {
		if counting.Has(i) {
			r.Banks[i].fold(d, d.Draw[i], s.Watts[i])
		}
	}
	r.Liquid.EmissionSinceFill += max(s.Emission, 0)
	if s.Volume.Valid {
		r.Liquid.Volume = s.Volume.Value
	}
}

// Baseline returns what a bank at a place from 0 is held against: its measured
// baseline, and the stated draw until there is one.
func (r *Record) Baseline(d *DriftDesign, bank int) physic.Power {
	if bank < 0 || bank >= hal.MaxBanks {
		return 0
	}
	if b := r.Banks[bank].Baseline; b > 0 {
		return b
	}
	return d.Draw[bank]
}

// Drift judges a bank at a place from 0; nothing is known of one that does not
// exist or is out of service.
func (r *Record) Drift(d *DriftDesign, bank int) Drift {
	if bank < 0 || bank >= hal.MaxBanks || r.OutOfService.Has(bank) {
		return Drift{}
	}
	return r.Banks[bank].Drift(d)
}

// TakeOut takes a bank, by its place from 0, out of service. Its history stays.
func (r *Record) TakeOut(bank int) error {
	if err := checkBank(bank); err != nil {
		return err
	}
	r.OutOfService |= hal.Bank(bank)
	return nil
}

// PutBack puts a bank, by its place from 0, into service and begins its baseline
// anew: it is another bank after a repair, whether it was taken out or not.
func (r *Record) PutBack(bank int) error {
	if err := checkBank(bank); err != nil {
		return err
	}
	r.OutOfService &^= hal.Bank(bank)
	r.Banks[bank] = BankRecord{}
	return nil
}

func checkBank(bank int) error {
	if bank < 0 || bank >= hal.MaxBanks {
		return fmt.Errorf("bank %d does not exist, allowed is 1 to %d", bank+1, hal.MaxBanks)
	}
	return nil
}

// Fill notes that the tank was filled with so much new liquid on a day, counted
// from 1 January 1970; 0 where the day is not known.
func (r *Record) Fill(day int32, volume hal.Volume) error {
	switch {
	case day < 0:
		return fmt.Errorf("day %d of the fill is before 1 January 1970, allowed is a later day, or 0 for not known", day)
	case volume <= 0:
		return fmt.Errorf("a fill of %s is not an amount of liquid, allowed is more than 0 l", quantity.FormatVolume(volume))
	}
	r.Liquid = LiquidAge{Filled: day, Volume: volume}
	return nil
}

// TopUp notes that so much was added to the liquid.
func (r *Record) TopUp(volume hal.Volume) error {
	if volume <= 0 {
		return fmt.Errorf("a top-up of %s is not an amount of liquid, allowed is more than 0 l", quantity.FormatVolume(volume))
	}
	r.Liquid.ToppedUp += volume
	if r.Liquid.Volume > 0 {
		r.Liquid.Volume += volume
	}
	return nil
}
