// Package status is what there is to see of a running cabinet: one value, made
// beside the loop from what the loop has published, that the screen, the page, the
// metrics and every other watcher read. It can change nothing.
package status

import "time"

// View is all that there is to see at one moment. As JSON it is one line. A
// number that is not known is missing.
type View struct {
	// Format is 1. A member may be added without a new format.
	Format  int       `json:"format"`
	Program string    `json:"program"` // its version
	Machine string    `json:"machine"` // what its owner calls the tank
	Origin  string    `json:"origin"`  // "tank", "bench" or "synthetic"
	Wall    time.Time `json:"wall"`
	// Uptime is the time since the program's start.
	Uptime float64 `json:"uptime_s"`

	Session  Session    `json:"session"`
	Selected *Selected  `json:"selected,omitempty"`
	Recipes  []string   `json:"recipes"`
	Bath     Bath       `json:"bath"`
	Cabinet  Cabinet    `json:"cabinet"`
	Mains    Mains      `json:"mains"`
	Banks    []Bank     `json:"banks"`
	Fans     []Fan      `json:"fans"`
	Liquid   Liquid     `json:"liquid"`
	Contacts []Contact  `json:"contacts"`
	Outputs  Outputs    `json:"outputs"`
	Permits  []Permit   `json:"permits"`
	Latched  []Latch    `json:"latched"`
	FirstOut *FirstOut  `json:"first_out,omitempty"`
	Recent   []Happened `json:"recent"` // newest last
	Care     []string   `json:"care"`   // what is due, in sentences
	Journal  Journal    `json:"journal"`
	Loop     Loop       `json:"loop"`
}

// Session is where the session is.
type Session struct {
	Phase  string `json:"phase"`            // "idle", "purge", "preheat", ...
	Recipe string `json:"recipe,omitempty"` // empty while none runs
	Side   int    `json:"side,omitempty"`   // being cleaned, from 1
	Sides  int    `json:"sides,omitempty"`
	// PhaseLeft and Left are the time left in the phase, and until the fans stop.
	// LeftKnown is false while the time to the set temperature is not known.
	PhaseLeft float64 `json:"phase_left_s"`
	Left      float64 `json:"left_s"`
	LeftKnown bool    `json:"left_known"`
	// Progress is the share of the session that is done, 0 to 1.
	Progress float64 `json:"progress"`
	// RollCall is the bank that a roll-call leaves off, from 1.
	RollCall int `json:"roll_call,omitempty"`
}

// Selected is a recipe that waits for the START button.
type Selected struct {
	Recipe string  `json:"recipe"`
	Left   float64 `json:"left_s"` // until the selection lapses
}

// Bath is the bath's temperature and its limits, in degrees Celsius.
type Bath struct {
	A *float64 `json:"a_degC,omitempty"`
	B *float64 `json:"b_degC,omitempty"`
	// Set and Limit are those of the running recipe; LimitMachine is the machine's.
	Set          *float64 `json:"set_degC,omitempty"`
	Limit        *float64 `json:"limit_degC,omitempty"`
	LimitMachine float64  `json:"limit_machine_degC"`
	// ToSet is the time to the set temperature, AtEnd how hot the clean is
	// expected to leave the bath.
	ToSet *float64 `json:"to_set_s,omitempty"`
	AtEnd *float64 `json:"at_end_degC,omitempty"`
}

// Cabinet is the cabinet's air.
type Cabinet struct {
	Air   *float64 `json:"air_degC,omitempty"`
	Limit float64  `json:"limit_degC"`
}

// Mains is what the meter shows.
type Mains struct {
	Volts   *float64 `json:"V,omitempty"`
	Watts   *float64 `json:"W,omitempty"`
	Amperes *float64 `json:"A,omitempty"`
	Hertz   *float64 `json:"Hz,omitempty"`
}

// Bank is one bank.
type Bank struct {
	Bank int  `json:"bank"` // from 1
	On   bool `json:"on"`
	// Watts are at the nominal mains voltage, as estimated last; Baseline is what
	// the bank should take.
	Watts    *float64 `json:"W,omitempty"`
	Baseline float64  `json:"baseline_W"`
	// OutOfService says that the bank has been taken out until it is reset.
	OutOfService bool `json:"out_of_service"`
}

// Fan is one fan.
type Fan struct {
	Fan      int      `json:"fan"` // from 1
	Speed    *float64 `json:"rpm,omitempty"`
	Minimum  float64  `json:"minimum_rpm"`
	Required bool     `json:"required"`
}

// Liquid is what the heat balance says of the liquid.
type Liquid struct {
	Litres      *float64 `json:"l,omitempty"`
	Band        *float64 `json:"band_l,omitempty"` // half of the 95 % band
	Minimum     float64  `json:"minimum_l"`
	Fill        float64  `json:"fill_l"`
	Evaporating *float64 `json:"evaporating_l_per_h,omitempty"`
	ToMinimum   *float64 `json:"to_minimum_h,omitempty"`
	// Days and Emission are the age of the liquid, where a fill has been noted.
	Days     *int    `json:"days,omitempty"`
	Emission float64 `json:"emission_h"`
}

// Contact is one switch: "closed", "open" or "absent".
type Contact struct {
	Name  string `json:"name"`
	State string `json:"state"`
}

// Outputs is what is driven.
type Outputs struct {
	Contactor bool `json:"contactor"`
	Fans      bool `json:"fans"`
	Heater    bool `json:"heater"`
	Sounder   bool `json:"sounder"`
	Lamp      bool `json:"lamp"`
}

// Permit is one of "start", "contactor", "heater" and "emission", and why it is
// withheld.
type Permit struct {
	Name  string   `json:"name"`
	Given bool     `json:"given"`
	Why   []string `json:"why,omitempty"`
}

// Latch is a protective function that waits for a reset.
type Latch struct {
	Name    string `json:"name"` // "airflow lost, fan 2"
	Lockout bool   `json:"lockout"`
	Stands  bool   `json:"stands"` // its cause is still there
	Text    string `json:"text"`   // what it finds now
}

// FirstOut is the first cause of the last shutdown.
type FirstOut struct {
	Text string  `json:"text"`
	Ago  float64 `json:"ago_s"`
}

// Happened is one thing that happened.
type Happened struct {
	Seq  uint64  `json:"seq"` // from 1, since the program's start
	At   float64 `json:"at_s"`
	Ago  float64 `json:"ago_s"`
	Kind string  `json:"kind"` // "trip", "hold", "reset", "finding" or "session"
	Text string  `json:"text"`
}

// Journal is how the journal is.
type Journal struct {
	OK  bool   `json:"ok"`
	Why string `json:"why,omitempty"`
}

// Loop is how the loop keeps its time.
type Loop struct {
	Ticks uint64 `json:"ticks"`
	// Late counts the ticks over the deadline; Worst is the latest wake-up.
	Late     uint64  `json:"late"`
	Tick     float64 `json:"tick_s"`
	Deadline float64 `json:"deadline_s"`
	Worst    float64 `json:"worst_late_s"`
	// Lateness counts the wake-ups by how late they were: up to each of the bounds,
	// the last for all above.
	Lateness []Count `json:"lateness"`
}

// Count is one bar of a histogram.
type Count struct {
	UpTo  float64 `json:"up_to_s"` // 0 for without a bound
	Ticks uint64  `json:"ticks"`
}
