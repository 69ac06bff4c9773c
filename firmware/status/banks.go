package status

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/journal"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
)

func (b *Builder) banks(v *View, s *supervisor.Status) {
	record := b.frame.Still.Record()
	v.Banks = []Bank{}
	for i, bank := range b.from.Machine.Banks {
		baseline := s.Estimates.Baseline[i]
		if baseline == 0 {
			baseline = bank.Draw
		}
		shown := Bank{
			Bank: i + 1, On: s.Commanded.Contactor && s.Commanded.Banks.Has(i),
			Baseline:     float64(baseline) / float64(physic.Watt),
			OutOfService: record.OutOfService.Has(i) || !s.Permits.Banks.Has(i),
		}
		if watts := s.Estimates.Bank[i]; watts.Valid {
			number := float64(watts.Value) / float64(physic.Watt)
			shown.Watts = &number
		}
		v.Banks = append(v.Banks, shown)
	}
}

func (b *Builder) liquid(v *View, s *supervisor.Status, wall time.Time) {
	m, e := b.from.Machine, &s.Estimates
	litres := func(volume hal.Volume) float64 { return float64(volume) / float64(hal.Litre) }
	age := b.frame.Still.Record().Liquid
	v.Liquid = Liquid{
		Minimum: litres(m.Volume(m.Tank.Minimum)), Fill: litres(m.Volume(m.Tank.Fill)),
		Emission: age.EmissionSinceFill.Hours(),
	}
	if e.Volume.Valid {
		volume, band := litres(e.Volume.Value), litres(e.VolumeBand)
		v.Liquid.Litres, v.Liquid.Band = &volume, &band
	}
	if e.Evaporating.Valid {
		lost := litres(e.Evaporating.Value)
		v.Liquid.Evaporating = &lost
	}
	if e.ToMinimum.Valid {
		hours := e.ToMinimum.Value.Hours()
		v.Liquid.ToMinimum = &hours
	}
	if today := journal.Day(wall); age.Filled > 0 && today >= age.Filled {
		days := int(today - age.Filled)
		v.Liquid.Days = &days
	}
}
