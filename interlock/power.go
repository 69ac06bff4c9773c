package interlock

import (
	"time"

	"periph.io/x/conn/v3/physic"
)

// The causes that look at the mains meter.

// atMains corrects watts stated at the nominal voltage to the present one: a
// resistive heater, and drivers without regulation, take watts with the square
// of the voltage. Milliwatts and tenths of a volt keep the product of a whole
// outlet's watts inside 64 bits.
func (p *PowerConfig) atMains(nominal physic.Power, volts physic.ElectricPotential) int64 {
	const tenth = int64(physic.Volt / 10)
	v, n := int64(volts)/tenth, int64(p.Nominal)/tenth
	if v <= 0 || n <= 0 {
		return int64(nominal)
	}
	return int64(nominal/physic.MilliWatt) * (v * v) / (n * n) * int64(physic.MilliWatt)
}

// load is the meter's watts beside what everything commanded should take.
type load struct {
	watts  int64 // at the meter
	banks  int64 // what the commanded banks should take
	heater int64 // what the heater takes when it is on
	others int64 // standby and commanded fans
	allow  int64 // how much more is put down to tolerance
	age    time.Duration
}

// rest returns the watts that standby, fans and banks do not explain.
func (l *load) rest() int64 { return l.watts - l.others - l.banks }

// onlyHeater returns the watts over which the rest can only be the heater.
func (l *load) onlyHeater() int64 { return max(l.heater/2, l.allow) }

// load returns the meter's watts and what they should be. The verdict is Clear
// where they can be compared, Idle until the meter shows what was last
// commanded, Unknown without a reading.
func (v view) load() (load, Verdict) {
	p := &v.cfg.Power
	reading := &v.in.Snapshot.Meter.Watts
	watts, ok := reading.Within(p.MaxAge)
	if !ok || watts < 0 || watts > p.MeterMax {
		return load{age: reading.Age}, Unknown // "meter fault" stands
	}
	volts := p.Nominal
	if p.ReportsVolts {
		if volts, ok = v.in.Snapshot.Meter.Volts.Within(p.MaxAge); !ok || volts < 0 || volts > p.voltsMax() {
			return load{age: reading.Age}, Unknown
		}
	}
	if p.ReportsVolts && v.mem.VoltsFor.Duration() >= p.Frozen {
		return load{age: reading.Age}, Unknown // frozen: "meter fault" stands
	}
	if v.mem.LoadFor.Duration() < p.Settle+reading.Age {
		return load{age: reading.Age}, Idle
	}
	l := load{watts: int64(watts), others: int64(p.Standby), age: reading.Age}
	l.heater = p.atMains(p.Heater, volts)
	var banks physic.Power
	if v.in.Commanded.Contactor {
		for i := range min(p.Banks, len(p.Bank)) {
			if v.in.Commanded.Banks.Has(i) {
				banks += p.Bank[i]
			}
		}
	}
	l.banks = p.atMains(banks, volts)
	if v.in.Commanded.Fans {
		l.others += int64(p.Fans)
	}
	l.allow = int64(p.Unexplained) + l.banks/1000*p.Tolerance
	return l, Clear
}

func heaterWillNotStop(v view, _ int) Finding {
	if v.cfg.Power.Heater == 0 || v.in.Commanded.Heater {
		return idle
	}
	l, verdict := &v.in.load, v.in.loadVerdict
	if verdict != Clear {
		return Finding{Verdict: verdict, Age: l.age}
	}
	return over(l.rest(), l.onlyHeater(), 0, false, l.age)
}

func bankWillNotStop(v view, _ int) Finding {
	p := &v.cfg.Power
	if p.Banks == 0 || v.in.Commanded.Banks != 0 || v.in.Commanded.Heater {
		return idle
	}
	l, verdict := &v.in.load, v.in.loadVerdict
	if verdict != Clear {
		return Finding{Verdict: verdict, Age: l.age}
	}
	if p.Heater != 0 && l.rest() > l.onlyHeater() {
		return idle // "heater will not stop" names it
	}
	return over(l.rest(), p.smallestBank()/3, 0, false, l.age)
}

// smallestBank returns the watts of the smallest bank. A third of it is still
// under what is left of a bank that has lost one of two emitters.
func (p *PowerConfig) smallestBank() int64 {
	least := int64(p.Bank[0])
	for i := range min(p.Banks, len(p.Bank)) {
		least = min(least, int64(p.Bank[i]))
	}
	return least
}

func overPower(v view, _ int) Finding {
	l, verdict := &v.in.load, v.in.loadVerdict
	if verdict != Clear {
		return Finding{Verdict: verdict, Age: l.age}
	}
	explained := l.others + l.banks + l.allow
	if v.in.Commanded.Heater && v.in.Commanded.Contactor {
		explained += l.heater + l.heater/1000*v.cfg.Power.Tolerance
	} else if v.cfg.Power.Heater != 0 && l.rest() > l.onlyHeater() {
		return idle // "heater will not stop" names it
	}
	if v.in.Commanded.Banks == 0 && !v.in.Commanded.Heater {
		return idle // "bank will not stop" names it, and is the sharper of the two
	}
	return over(l.watts, explained, 0, false, l.age)
}

// heaterSilent compares with a quarter of the heater's watts: that is clear of
// what tolerance of the banks can hide or feign.
func heaterSilent(v view, _ int) Finding {
	if v.cfg.Power.Heater == 0 || !v.in.Commanded.Heater || !v.in.Commanded.Contactor {
		return idle
	}
	l, verdict := &v.in.load, v.in.loadVerdict
	if verdict != Clear {
		return Finding{Verdict: verdict, Age: l.age}
	}
	if limit := l.heater / 4; l.rest() < limit {
		return standing(l.rest(), limit, l.age)
	}
	return clear(l.rest(), l.heater/4, l.age)
}

// bankShort judges a bank by what health credits it with. A bank whose watts
// are not known yet is not judged.
func bankShort(v view, place int) Finding {
	p := &v.cfg.Power
	if place >= p.Banks || !v.in.Estimates.Bank[place].Valid {
		return idle
	}
	estimate := &v.in.Estimates.Bank[place]
	baseline := int64(p.Bank[place])
	if known := v.in.Estimates.Baseline[place]; known > 0 {
		baseline = int64(known)
	}
	value, limit := int64(estimate.Value), baseline/1000*p.BankShort
	if value < limit {
		return standing(value, limit, estimate.Age)
	}
	return clear(value, limit, estimate.Age)
}

// Reasons of "meter fault".
const (
	meterUnder = iota
	meterOver
	meterFrozen
	meterVolts
)

// voltsMax is more than any mains that the cabinet survives.
func (p *PowerConfig) voltsMax() physic.ElectricPotential { return 2 * p.Nominal }

func meterFault(v view, _ int) Finding {
	p, meter := &v.cfg.Power, &v.in.Snapshot.Meter
	watts, ok := meter.Watts.Within(p.MaxAge)
	if !ok {
		return Finding{Verdict: Unknown, Age: meter.Watts.Age}
	}
	switch {
	case watts < 0:
		return Finding{Verdict: Standing, Reason: meterUnder, Value: int64(watts), Age: meter.Watts.Age}
	case watts > p.MeterMax:
		return Finding{Verdict: Standing, Reason: meterOver, Value: int64(watts), Limit: int64(p.MeterMax), Age: meter.Watts.Age}
	case !p.ReportsVolts:
		return clear(int64(watts), int64(p.MeterMax), meter.Watts.Age)
	}
	volts, ok := meter.Volts.Within(p.MaxAge)
	if !ok {
		return Finding{Verdict: Unknown, Age: meter.Volts.Age}
	}
	if volts < 0 || volts > p.voltsMax() {
		return Finding{Verdict: Standing, Reason: meterVolts, Value: int64(volts), Limit: int64(p.voltsMax()), Age: meter.Volts.Age}
	}
	// A mains voltage is never quite still, so one that is was not measured.
	if same := v.mem.VoltsFor.Duration(); same >= p.Frozen {
		return Finding{Verdict: Standing, Reason: meterFrozen, Value: int64(same), Limit: int64(p.Frozen), Age: meter.Volts.Age}
	}
	return clear(int64(watts), int64(p.MeterMax), meter.Watts.Age)
}

func mainsOutOfRange(v view, _ int) Finding {
	p := &v.cfg.Power
	if !p.ReportsVolts {
		return idle
	}
	reading := &v.in.Snapshot.Meter.Volts
	volts, ok := reading.Within(p.MaxAge)
	if !ok {
		return Finding{Verdict: Unknown, Age: reading.Age}
	}
	if volts < p.Low || v.held && volts < p.Low+p.Return {
		return standing(int64(volts), int64(p.Low), reading.Age)
	}
	finding := over(int64(volts), int64(p.High), int64(p.Return), v.held, reading.Age)
	if finding.Verdict == Standing {
		finding.Reason = 1
	}
	return finding
}
