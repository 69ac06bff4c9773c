package thermal

// StefanBoltzmann is the Stefan-Boltzmann constant in W/(m2 K4) (CODATA 2018).
const StefanBoltzmann = 5.670374419e-8

// Radiation returns the heat flux, in W/m2, from a grey surface with an
// emissivity from 0 to 1 to a large room around it, both temperatures in K;
// negative where the room is the hotter one.
func Radiation(emissivity, surface, room float64) float64 {
	return float64(emissivity * StefanBoltzmann * (FourthPower(surface) - FourthPower(room)))
}

// RadiationCoefficient returns Radiation divided by the difference of the
// temperatures, in W/(m2 K); it stays finite where they are equal.
func RadiationCoefficient(emissivity, surface, room float64) float64 {
	squares := float64(surface*surface) + float64(room*room)
	return float64(emissivity * StefanBoltzmann * squares * (surface + room))
}
