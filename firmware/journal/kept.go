package journal

import (
	"fmt"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/health"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/interlock"
)

// Kept is what must survive a power loss, in the form in which it is stored.
type Kept struct {
	Format int `json:"format"`
	// Boot counts the starts of the program.
	Boot uint32 `json:"boot"`
	// Noted is the number of the last record of the owner's whose effect is in
	// the liquid's age.
	Noted uint64 `json:"noted"`
	// Lockouts are never left out: a list that is missing is no empty list.
	Lockouts []Latched `json:"lockouts"`
	Record   *Record   `json:"record"`
}

// Latched names a lockout: its protective function and the fan, probe or bank,
// from 1, where it is one of several.
type Latched struct {
	Function string `json:"function"`
	Place    int    `json:"place,omitempty"`
}

// Record is health.Record as it is stored; powers are in nanowatts.
type Record struct {
	Sessions     int          `json:"sessions"`
	OutOfService []int        `json:"out_of_service,omitempty"`
	Banks        []BankRecord `json:"banks,omitempty"`
	Liquid       Liquid       `json:"liquid"`
}

// BankRecord is health.BankRecord as it is stored.
type BankRecord struct {
	Bank     int          `json:"bank"`
	Baseline physic.Power `json:"baseline_nW"`
	Total    physic.Power `json:"total_nW"`
	Counted  int32        `json:"counted"`
	Sessions int32        `json:"sessions"`
	// Cusum is the upper and the lower sum in nW, then the sessions of each.
	Cusum  [4]int64       `json:"cusum"`
	Recent []physic.Power `json:"recent_nW"`
}

// Liquid is health.LiquidAge as it is stored. Filled is a day counted from 1
// January 1970.
type Liquid struct {
	Filled   int32      `json:"filled_day,omitempty"`
	Emission Seconds    `json:"emission_s,omitempty"`
	ToppedUp hal.Volume `json:"topped_up_ul,omitempty"`
	Volume   hal.Volume `json:"volume_ul,omitempty"`
}

// keptFormat is the form of kept.json that is written. Others are refused: what
// cannot be read for certain is unreadable.
const keptFormat = 1

func keptOf(k supervisor.Kept, boot uint32, noted uint64) *Kept {
	stored := &Kept{Format: keptFormat, Boot: boot, Noted: noted, Lockouts: []Latched{}, Record: recordOf(&k.Record)}
	for slot := range interlock.Slots {
		if k.Lockouts.Has(slot) {
			f, place := interlock.Find(slot)
			latched := Latched{Function: f.Name()}
			if interlock.Table[f].Scope != interlock.Whole {
				latched.Place = place + 1
			}
			stored.Lockouts = append(stored.Lockouts, latched)
		}
	}
	return stored
}

func recordOf(r *health.Record) *Record {
	stored := &Record{
		Sessions: r.Sessions,
		Liquid: Liquid{
			Filled: r.Liquid.Filled, Emission: Seconds(r.Liquid.EmissionSinceFill),
			ToppedUp: r.Liquid.ToppedUp, Volume: r.Liquid.Volume,
		},
	}
	for i := range r.Banks {
		if r.OutOfService.Has(i) {
			stored.OutOfService = append(stored.OutOfService, i+1)
		}
		b := &r.Banks[i]
		if *b == (health.BankRecord{}) {
			continue
		}
		first := 0
		for first < len(b.Recent) && b.Recent[first] == 0 {
			first++
		}
		stored.Banks = append(stored.Banks, BankRecord{
			Bank: i + 1, Baseline: b.Baseline, Total: b.Total, Counted: b.Counted, Sessions: b.Sessions,
			Cusum:  [4]int64{b.Cusum.Upper, b.Cusum.Lower, int64(b.Cusum.UpperCount), int64(b.Cusum.LowerCount)},
			Recent: b.Recent[first:],
		})
	}
	return stored
}

// restore returns what was kept as the supervisor has it. Whatever this version
// does not know for certain is an error.
func (k *Kept) restore() (supervisor.Kept, error) {
	var kept supervisor.Kept
	if k.Format != keptFormat {
		return kept, fmt.Errorf("it has the form %d, this version reads %d", k.Format, keptFormat)
	}
	if k.Lockouts == nil || k.Record == nil {
		return kept, fmt.Errorf("it lacks its lockouts or its record")
	}
	for _, latched := range k.Lockouts {
		slot, ok := latched.slot()
		if !ok {
			return kept, fmt.Errorf("it names the lockout %s, place %d, which this version does not have", quantity.Quote(latched.Function), latched.Place)
		}
		kept.Lockouts = kept.Lockouts.With(slot)
	}
	record, err := k.Record.restore()
	kept.Record = record
	return kept, err
}

func (l Latched) slot() (int, bool) {
	for slot := range interlock.Slots {
		f, place := interlock.Find(slot)
		if interlock.Table[f].Scope == interlock.Whole {
			place = -1
		}
		if f.Name() == l.Function && place+1 == l.Place {
			return slot, interlock.Table[f].Latch == interlock.Lockout
		}
	}
	return 0, false
}

func (r *Record) restore() (health.Record, error) {
	record := health.Record{Sessions: r.Sessions, Liquid: health.LiquidAge{
		Filled: r.Liquid.Filled, EmissionSinceFill: time.Duration(r.Liquid.Emission),
		ToppedUp: r.Liquid.ToppedUp, Volume: r.Liquid.Volume,
	}}
	for _, bank := range r.OutOfService {
		if err := record.TakeOut(bank - 1); err != nil {
			return record, err
		}
	}
	for i := range r.Banks {
		b := &r.Banks[i]
		if b.Bank < 1 || b.Bank > hal.MaxBanks {
			return record, fmt.Errorf("bank %d does not exist, allowed is 1 to %d", b.Bank, hal.MaxBanks)
		}
		into := &record.Banks[b.Bank-1]
		*into = health.BankRecord{
			Baseline: b.Baseline, Total: b.Total, Counted: b.Counted, Sessions: b.Sessions,
			Cusum: health.Cusum{Upper: b.Cusum[0], Lower: b.Cusum[1], UpperCount: int32(b.Cusum[2]), LowerCount: int32(b.Cusum[3])},
		}
		if len(b.Recent) > len(into.Recent) {
			return record, fmt.Errorf("bank %d has %d recent sessions, at most %d are kept", b.Bank, len(b.Recent), len(into.Recent))
		}
		copy(into.Recent[len(into.Recent)-len(b.Recent):], b.Recent)
	}
	return record, nil
}

// Health returns what health keeps, as a supervisor has it. The error names what
// this version does not know.
func (r *Record) Health() (health.Record, error) { return r.restore() }
