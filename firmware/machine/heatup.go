package machine

import (
	"math"

	"bathtender/firmware/thermal"
)

// steelHeat is the heat capacity of a cubic metre of stainless steel in J/K:
// 7900 kg/m3 and 500 J/(kg K), round handbook values.
const steelHeat = 7900 * 500.0

// TankHeat returns the heat capacity of the tank's steel in J/K.
func (m *Machine) TankHeat() float64 {
	length, width, depth := metres(m.Tank.Length), metres(m.Tank.Width), metres(m.Tank.Depth)
	return steelHeat * metres(m.Tank.Wall) * (length*width + 2*(length+width)*depth)
}

// heatUp returns the seconds in which a power in W takes kg of water and the
// tank from one temperature to another, both in K, while the vessel loses heat
// to the room. It is +Inf where the losses are as large as the power before.
func (m *Machine) heatUp(power, kg, from, to float64, vessel thermal.Vessel, room thermal.Room) float64 {
	const step = 0.25 // K
	tank := m.TankHeat()
	seconds := 0.0
	for t := from; t < to; t += step {
		width := math.Min(step, to-t)
		middle := t + width/2
		left := power - vessel.Loss(middle, room).Heat()
		if left <= 0 {
			return math.Inf(1)
		}
		seconds += (kg*thermal.WaterHeatCapacity(middle) + tank) * width / left
	}
	return seconds
}

// levelsOff returns the bath temperature in K at which the losses are as large
// as a power in W, at most 100 degC.
func levelsOff(power float64, vessel thermal.Vessel, room thermal.Room) float64 {
	low, high := room.Temperature-20, thermal.ZeroCelsius+100
	for range 60 {
		middle := (low + high) / 2
		if vessel.Loss(middle, room).Heat() < power {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}
