package example

import (
	"time"

	"bathtender/firmware/status"
)

func number(v float64) *float64 { return &v }

// Idle is a tank at rest, filled and cold.
func Idle() status.View {
	days := 12
	v := status.View{
		Format: 1, Program: "0.1.0", Machine: "slide tank", Origin: "synthetic",
		Wall: time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC), Uptime: 4000,
		Session: status.Session{Phase: "idle"},
		Recipes: []string{"gentle", "heavy"},
		Bath:    status.Bath{A: number(21.4), B: number(21.6), LimitMachine: 70},
		Cabinet: status.Cabinet{Air: number(22), Limit: 50},
		Mains:   status.Mains{Volts: number(230.1), Watts: number(6), Amperes: number(0.03), Hertz: number(50)},
		Liquid: status.Liquid{Litres: number(19.2), Band: number(0.8), Minimum: 12, Fill: 19.8, Evaporating: number(0.12),
			ToMinimum: number(60), Days: &days, Emission: 3.5},
		Permits: []status.Permit{{Name: "start", Given: true}, {Name: "contactor", Given: true}, {Name: "heater", Given: true},
			{Name: "emission", Given: true}},
		Journal: status.Journal{OK: true},
		Loop: status.Loop{Ticks: 40000, Tick: 0.1, Deadline: 0.15, Worst: 0.0021,
			Lateness: []status.Count{{UpTo: 0.001, Ticks: 39990}, {UpTo: 0.01, Ticks: 10}, {}}},
	}
	for _, name := range []string{"level", "lid", "stop", "leak"} {
		v.Contacts = append(v.Contacts, status.Contact{Name: name, State: "closed"})
	}
	for i := range 6 {
		v.Banks = append(v.Banks, status.Bank{Bank: i + 1, Baseline: 80, Watts: number(79)})
	}
	for i := range 2 {
		v.Fans = append(v.Fans, status.Fan{Fan: i + 1, Speed: number(0), Minimum: 1500, Required: true})
	}
	return v
}

// Preheat is the same tank on its way to the temperature of a recipe.
func Preheat() status.View {
	v := Idle()
	v.Session = status.Session{Phase: "preheat", Recipe: "heavy", Side: 1, Sides: 2, PhaseLeft: 1100, Left: 3600, LeftKnown: true, Progress: 0.08}
	v.Bath.A, v.Bath.B, v.Bath.Set, v.Bath.Limit = number(31.2), number(31.4), number(50), number(55)
	v.Bath.ToSet, v.Bath.AtEnd = number(1100), number(53.4)
	v.Mains.Watts, v.Mains.Amperes = number(1006), number(4.37)
	v.Outputs = status.Outputs{Contactor: true, Fans: true, Heater: true, Lamp: true}
	for i := range v.Fans {
		v.Fans[i].Speed = number(2600)
	}
	return v
}

// Clean is the same tank in a clean.
func Clean() status.View {
	v := Preheat()
	v.Session.Phase, v.Session.PhaseLeft, v.Session.Left, v.Session.Progress = "clean", 440, 1160, 0.62
	v.Bath.A, v.Bath.B, v.Bath.ToSet = number(51.1), number(51.3), nil
	v.Mains.Watts, v.Mains.Amperes = number(486), number(2.1)
	v.Outputs.Heater = false
	for i := range v.Banks {
		v.Banks[i].On = true
	}
	v.Care = []string{"the liquid is 12 days old, it is due for a change after 14 days"}
	v.Recent = []status.Happened{{Seq: 1, At: 3400, Ago: 600, Kind: "session", Text: "degas begins"}, {Seq: 2, At: 3700, Ago: 300, Kind: "session", Text: "clean begins, side 1 of 2"}}
	return v
}

// FanSeized is what the loss of a fan says on its own.
const FanSeized = "fan 2 at 310 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped"

// Tripped is the same tank after a fan has seized in the clean.
func Tripped() status.View {
	v := Clean()
	v.Session = status.Session{Phase: "run-on", Left: 95, PhaseLeft: 95, LeftKnown: true, Progress: 0.62}
	v.Bath.Set, v.Bath.Limit, v.Bath.AtEnd = nil, nil, nil
	v.Outputs = status.Outputs{Fans: true, Sounder: true}
	v.Mains.Watts, v.Mains.Amperes = number(14), number(0.06)
	for i := range v.Banks {
		v.Banks[i].On = false
	}
	v.Banks[2].OutOfService, v.Banks[2].Watts = true, number(41)
	v.Fans[1].Speed = number(90)
	v.Latched = []status.Latch{{Name: "airflow lost, fan 2", Stands: true, Text: "fan 2 at 90 rpm, below its 1500 rpm minimum"}}
	v.Permits[0] = status.Permit{Name: "start", Why: []string{"airflow lost, fan 2, waits for a reset"}}
	v.Permits[3] = status.Permit{Name: "emission", Why: []string{"airflow lost, fan 2, waits for a reset"}}
	v.FirstOut = &status.FirstOut{Text: FanSeized, Ago: 25}
	v.Recent = append(v.Recent, status.Happened{Seq: 3, At: 3980, Ago: 25, Kind: "trip", Text: FanSeized})
	return v
}
