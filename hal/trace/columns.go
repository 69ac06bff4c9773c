package trace

import (
	"strconv"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// The units of a trace, with the integers that stand for them.
var (
	degreesCelsius = quantity{scale{9, int64(physic.ZeroCelsius)}, "degC", "degrees Celsius"}
	volts          = quantity{scale{places: 9}, "V", "volts"}
	watts          = quantity{scale{places: 9}, "W", "watts"}
	amperes        = quantity{scale{places: 9}, "A", "amperes"}
	hertz          = quantity{scale{places: 6}, "Hz", "hertz"}
	rpm            = quantity{scale{places: 3}, "rpm", "revolutions per minute"}
)

// columns is every column of a trace in its usual order; nothing changes it.
var columns = makeColumns()

// places says where in columns a name stands; only ever looked up.
var places = makePlaces()

// Names that the rest of the package needs to know.
const (
	timeName    = "time_s"
	requestName = "request"
	recordName  = "record_ok"
	linesName   = "outputs_ok"
	banksName   = "out_banks"
	keptName    = "kept_ok"
	eventsName  = "events"
)

func makeColumns() []column {
	var ages []column
	all := []column{timeColumn(timeName, "monotonic time of the snapshot", func(row *Row) *time.Duration { return &row.Time })}
	reading := func(value, age column) {
		all = append(all, value)
		ages = append(ages, age)
	}
	for i, probe := range []struct{ name, about string }{
		hal.BathA: {"bath_a", "bath probe A"}, hal.BathB: {"bath_b", "bath probe B"}, hal.Cabinet: {"cabinet", "cabinet probe"},
	} {
		reading(readingColumns(probe.name+"_degC", probe.name+"_age_s", probe.about, degreesCelsius,
			func(row *Row) *hal.Reading[physic.Temperature] { return &row.Probes[i] }))
	}
	reading(readingColumns("mains_V", "mains_V_age_s", "mains voltage", volts,
		func(row *Row) *hal.Reading[physic.ElectricPotential] { return &row.Meter.Volts }))
	reading(readingColumns("mains_W", "mains_W_age_s", "mains power of the whole cabinet", watts,
		func(row *Row) *hal.Reading[physic.Power] { return &row.Meter.Watts }))
	reading(readingColumns("mains_A", "mains_A_age_s", "mains current of the whole cabinet", amperes,
		func(row *Row) *hal.Reading[physic.ElectricCurrent] { return &row.Meter.Amperes }))
	reading(readingColumns("mains_Hz", "mains_Hz_age_s", "mains frequency", hertz,
		func(row *Row) *hal.Reading[physic.Frequency] { return &row.Meter.Frequency }))
	for i := range hal.MaxFans {
		fan := strconv.Itoa(i + 1)
		value, age := readingColumns("fan_"+fan+"_rpm", "fan_"+fan+"_age_s", "tach of fan "+fan, rpm,
			func(row *Row) *hal.Reading[hal.RotationalSpeed] { return &row.Fans[i] })
		value.fan, age.fan = i+1, i+1
		reading(value, age)
	}
	all = append(all,
		contactColumn("level_ok", "float switch: 1 above the minimum", func(row *Row) *hal.Contact { return &row.Contacts.LevelOK }),
		contactColumn("lid_closed", "lid switch: 1 closed", func(row *Row) *hal.Contact { return &row.Contacts.LidClosed }),
		contactColumn("stop_closed", "stop loop: 1 closed, no stop button pressed", func(row *Row) *hal.Contact { return &row.Contacts.StopClosed }),
		contactColumn("leak_dry", "leak sensor: 1 dry", func(row *Row) *hal.Contact { return &row.Contacts.LeakDry }),
		contactColumn("contactor_aux", "mirror contact of the main contactor: 1 closed", func(row *Row) *hal.Contact { return &row.Contacts.ContactorAux }),
		bitColumn(recordName, "the journal can be made durable", func(row *Row) *bool { return &row.RecordOK }),
		bitColumn(keptName, "what was kept from the run before is known", func(row *Row) *bool { return &row.KeptOK }),
		bitColumn(linesName, "every output line read back as commanded", func(row *Row) *bool { return &row.OutputsOK }),
	)
	all = append(all, ages...)
	all = append(all, requestColumn())
	output := func(name, about string, at func(*hal.Outputs) *bool) column {
		c := bitColumn(name, about, func(row *Row) *bool { return at(&row.Outputs) })
		c.output = true
		return c
	}
	all = append(all,
		output("out_contactor", "main contactor commanded on", func(o *hal.Outputs) *bool { return &o.Contactor }),
		output("out_fans", "fans commanded on", func(o *hal.Outputs) *bool { return &o.Fans }),
		output("out_heater", "heater commanded on", func(o *hal.Outputs) *bool { return &o.Heater }),
		banksColumn(),
		output("out_heartbeat", "level of the heartbeat", func(o *hal.Outputs) *bool { return &o.Heartbeat }),
		output("out_watchdog", "watchdog fed", func(o *hal.Outputs) *bool { return &o.FeedWatchdog }),
		output("out_sounder", "sounder commanded on", func(o *hal.Outputs) *bool { return &o.Sounder }),
		output("out_lamp", "lamp commanded on", func(o *hal.Outputs) *bool { return &o.Lamp }),
	)
	return append(all, eventsColumn())
}

func makePlaces() map[string]int {
	byName := make(map[string]int, len(columns))
	for i := range columns {
		byName[columns[i].name] = i
	}
	return byName
}

func columnNames() []string {
	names := make([]string, len(columns))
	for i := range columns {
		names[i] = columns[i].name
	}
	return names
}

// columnNamed returns the column of that name, or nil.
func columnNamed(name string) *column {
	if i, known := places[name]; known {
		return &columns[i]
	}
	return nil
}
