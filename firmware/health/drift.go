package health

import (
	"fmt"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/interlock"
)

const (
	// BaselineSessions is how many sessions make a bank's first baseline,
	// counted from when it was put into service. Later ones make it firmer.
	BaselineSessions = 5
	// RecentSessions is how many sessions of a bank are kept.
	RecentSessions = 24
	// SessionsLeftMost is the longest forecast.
	SessionsLeftMost = 999
)

const (
	// outlying bounds what one session adds to a sum, in sigmas, so that a
	// single odd one is not a drift; two in a row are.
	outlying = 4
	// levelSessions is how many sessions make the present level where no
	// course is known.
	levelSessions = 5
)

// DriftDesign is what is known of a machine for judging drift. A bank whose draw
// is not stated has no baseline until it is measured.
type DriftDesign struct {
	// Draw is what the machine file states of each bank.
	Draw [hal.MaxBanks]physic.Power
	// Resolution is the smallest step of the meter; 1 W where it is not known.
	Resolution physic.Power
	// BankShort is the share of its baseline under which a bank trips, in
	// thousandths.
	BankShort int64
}

// Sigma returns the standard deviation that a session's mean watts of a healthy
// bank are taken to have: 1 % of the baseline, and not less than 0.6 steps of
// the meter. The difference of two rounded readings has one of 0.41 steps.
func (d *DriftDesign) Sigma(baseline physic.Power) physic.Power {
	step := d.Resolution
	if step <= 0 {
		step = physic.Watt
	}
	return max(baseline/100, step*6/10)
}

// Chart returns the chart for a bank, in nanowatts: it is to find a shift of one
// sigma.
func (d *DriftDesign) Chart(baseline physic.Power) Chart {
	sigma := int64(d.Sigma(baseline))
	return Chart{Allowance: sigma / 2, Interval: 5 * sigma}
}

// limit returns the watts under which a bank with a baseline trips.
func (d *DriftDesign) limit(baseline physic.Power) physic.Power {
	return baseline / 1000 * physic.Power(d.BankShort)
}

// Drift is what a bank's watts have done from session to session.
type Drift struct {
	// Known is false until there is a baseline and a session after it. Nothing
	// else is then said.
	Known bool
	// Warn says that the watts have left their baseline.
	Warn bool
	// Baseline is the measured one, Level what the bank takes now, Limit where
	// it trips.
	Baseline, Level, Limit physic.Power
	// Sessions is how many there have been since the change, Shift their mean
	// deviation from the baseline, below 0 for a bank that takes less. Both are
	// 0 without a warning. Only sessions that are still kept make up the mean.
	Sessions int
	Shift    physic.Power
	// Foreseen says that the bank is falling steadily and that it is known when
	// it trips, to a factor of 2 with about 95 % confidence. PerSession is the
	// change in each session, below 0; SessionsLeft how many there are until
	// the limit, from Least to Most, and SessionsLeftMost at most. All are 0
	// where it is not foreseen, which is no promise of long life.
	Foreseen                  bool
	PerSession                physic.Power
	SessionsLeft, Least, Most int
}

// Drift judges a bank's record.
func (b *BankRecord) Drift(d *DriftDesign) Drift {
	if b.Baseline <= 0 || b.Sessions <= BaselineSessions {
		return Drift{}
	}
	r := Drift{Known: true, Baseline: b.Baseline, Limit: d.limit(b.Baseline), Level: b.mean(levelSessions)}
	chart := d.Chart(b.Baseline)
	upper, lower := b.Cusum.Signals(chart)
	if !upper && !lower {
		return r
	}
	r.Warn = true
	r.Sessions = int(b.Cusum.UpperCount)
	if b.Cusum.Lower > b.Cusum.Upper {
		r.Sessions = int(b.Cusum.LowerCount)
	}
	if since := min(r.Sessions, RecentSessions); since > 0 {
		r.Shift = b.mean(since) - b.Baseline
	}
	if lower {
		b.foresee(d, &r)
	}
	return r
}

// foresee works out where a falling bank is going.
func (b *BankRecord) foresee(d *DriftDesign, r *Drift) {
	count := min(int(b.Sessions), RecentSessions)
	sigma := float64(d.Sigma(b.Baseline))
	var fallen [RecentSessions]float64
	for i, w := range b.Recent[RecentSessions-count:] {
		fallen[i] = float64(b.Baseline-w) / sigma
	}
	c := courseOf(fallen[:count], float64(b.Baseline-r.Limit)/sigma)
	if !c.known {
		return
	}
	r.Foreseen = true
	r.PerSession = physic.Power(-c.slope * sigma)
	r.Level = b.Baseline - physic.Power(c.level*sigma)
	r.SessionsLeft = int(min(c.left, SessionsLeftMost))
	r.Least = int(min(c.least, SessionsLeftMost))
	r.Most = int(min(c.most, SessionsLeftMost))
}

// Sentence returns the drift of a bank, by its place from 0, in plain words.
func (r Drift) Sentence(bank int) string {
	name, base := interlock.EachBank.It(bank), quantity.FormatPower(r.Baseline)
	switch {
	case !r.Known:
		return fmt.Sprintf("%s has no baseline yet, it needs %d sessions", name, BaselineSessions)
	case !r.Warn:
		return fmt.Sprintf("%s takes %s, its baseline is %s: no drift", name, quantity.FormatPower(r.Level), base)
	}
	way, shift := "more", r.Shift
	if r.Shift < 0 {
		way, shift = "less", -r.Shift
	}
	text := fmt.Sprintf("%s has drifted: in the sessions since, %d so far, it took %s %s than its baseline of %s on average",
		name, r.Sessions, quantity.FormatPower(shift), way, base)
	if !r.Foreseen {
		return text
	}
	return text + fmt.Sprintf("; it loses %s a session and reaches its limit of %s in about %d sessions (%d to %d)",
		quantity.FormatPower(-r.PerSession), quantity.FormatPower(r.Limit), r.SessionsLeft, r.Least, r.Most)
}
