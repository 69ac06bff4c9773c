package plant

import (
	"time"

	"bathtender/firmware/thermal"
	"bathtender/hal"
)

// Truth is what is really the case, whatever the sensors say. Temperatures are
// in K, watts are means over the last step.
type Truth struct {
	Time time.Duration

	Bath, Plate, Cabinet float64
	Winding              [hal.MaxBanks]float64 // of each bank's driver
	Joint                [hal.MaxBanks]float64 // of each bank's emitters
	// Life that windings and joints have used up since the start, in hours at
	// their rated temperatures, 155 and 80 degC.
	WindingAge, JointAge [hal.MaxBanks]float64

	Litres, Level float64 // Level in m
	// LitresEvaporated, since the start, are those of the bath's present density.
	LitresEvaporated float64
	LitresOnFloor    float64
	LidOn            bool

	FanSpeed [hal.MaxFans]float64 // rpm
	AirFlow  float64              // m3/s through the cabinet
	// AirShare is AirFlow over that of all fans at nominal speed.
	AirShare float64

	MainsVolts      float64
	HeaterWatts     float64
	BankWatts       [hal.MaxBanks]float64
	FanWatts        float64
	StandbyWatts    float64
	TotalWatts      float64
	ContactorClosed bool
	HeaterOn        bool      // the heater takes power
	Emitting        hal.Banks // the banks that take power
	// OutputsFallen says that lease or watchdog has let the outputs fall off.
	OutputsFallen bool
}

// Truth returns what is really the case.
func (p *Plant) Truth() Truth {
	t := Truth{
		Time: p.time, Bath: p.bath.temperature, Plate: p.plate, Cabinet: p.cabinet,
		Litres: p.bath.litres, Level: p.bath.level,
		LitresEvaporated: 1000 * p.bath.evaporated / p.slow.density, LitresOnFloor: p.puddle,
		LidOn: p.lidOn(), FanSpeed: p.fans.speed, AirFlow: p.fans.flow, AirShare: p.fans.full,
		MainsVolts: p.mains.volts, HeaterWatts: p.drawn.heater, FanWatts: p.drawn.fans,
		StandbyWatts: p.drawn.standby, TotalWatts: p.drawn.total(),
		ContactorClosed: p.contactor.closed, HeaterOn: p.drawn.heater > 0,
		Emitting: p.emitting(), OutputsFallen: p.board.fallen,
	}
	for i := range p.config.Banks {
		b := &p.banks[i]
		t.Winding[i], t.Joint[i] = b.winding, b.joint
		t.WindingAge[i], t.JointAge[i] = b.windingAge, b.jointAge
		t.BankWatts[i] = b.draw
	}
	return t
}

// ledger is the account of energy since the start, in J.
type ledger struct{ electrical, lost, carried float64 }

// Energy is a plant's account of energy since its start, in J. What is stored
// grows by Electrical + Carried - Lost.
type Energy struct {
	Electrical float64 // taken from the mains
	Lost       float64 // to the room, the heat of the vapour included
	// Carried is the heat that liquid and vapour brought in less what they
	// took away, counted from water of 0 degC.
	Carried float64
	// Stored is the heat in bath, tank, plate, banks and cabinet, counted from
	// 0 degC.
	Stored float64
}

// Energy returns the account of energy.
func (p *Plant) Energy() Energy {
	const zero = thermal.ZeroCelsius
	c := &p.config
	stored := float64(p.bath.mass*thermal.WaterEnthalpy(p.bath.temperature)) +
		float64(c.Tank.Steel*(p.bath.temperature-zero)) +
		float64(c.Heater.Plate*(p.plate-zero)) +
		float64(c.Cabinet.Heat*(p.cabinet-zero))
	for i := range c.Banks {
		stored += float64(c.Bank[i].Winding*(p.banks[i].winding-zero)) +
			float64(c.Bank[i].Joint*(p.banks[i].joint-zero))
	}
	return Energy{Electrical: p.ledger.electrical, Lost: p.ledger.lost, Carried: p.ledger.carried, Stored: stored}
}
