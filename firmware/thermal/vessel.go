package thermal

// Vessel is an open or lidded rectangular tank and how far it is filled.
// Lengths are in m, of the inside.
type Vessel struct {
	Length, Width, Level float64
	// Emissivity is that of the walls, 0 to 1: 0.1 for bright steel, 0.9 for
	// painted.
	Emissivity float64
	// LidOn says that the lid is on.
	LidOn bool
	// Activity is the activity factor of Evaporation.
	Activity float64
}

// Room is the air around a vessel.
type Room struct {
	Temperature float64 // K
	Humidity    float64 // relative, 0 to 1
	Speed       float64 // over the surface, m/s
	// Under is the temperature of the air under the floor, K.
	Under float64
}

// What a loose lid leaves of the evaporation and of the other heat from the
// surface. Common practice, no source: a lid saves about nine tenths of the
// water, while its own top is warm.
const (
	LidVapour = 0.1
	LidHeat   = 0.5
)

// waterEmissivity is that of a water surface (O'Sullivan's and most textbooks'
// 0.95 to 0.96; common practice, no source).
const waterEmissivity = 0.95

// Loss is what a vessel loses. Heat is in W, negative where the bath gains.
type Loss struct {
	Walls       float64 // convection and radiation of the wetted walls
	Floor       float64 // convection and radiation of the floor, to the air under it
	Surface     float64 // convection and radiation of the liquid's surface
	Evaporation float64 // latent heat of the vapour
	Vapour      float64 // kg/s
}

// Heat returns the sum of the heat in W.
func (l Loss) Heat() float64 { return l.Walls + l.Floor + l.Surface + l.Evaporation }

// film is the least level in m that counts: less is a film, not a bath.
const film = 1e-6

// Loss returns what the vessel loses with its bath, walls and floor at a
// temperature in K. A level under a micrometre has no walls and no surface.
func (v Vessel) Loss(bath float64, room Room) Loss {
	area := v.Length * v.Width
	perimeter := 2 * (v.Length + v.Width)
	var loss Loss
	loss.Floor = float64(area * (bath - room.Under) *
		v.floorCoefficient(bath, room.Under, area/perimeter))
	if !(v.Level > film) {
		return loss
	}
	loss.Walls = float64(perimeter * v.Level * (bath - room.Temperature) *
		v.wallCoefficient(bath, room.Temperature))
	loss.Surface = float64(area * (bath - room.Temperature) *
		surfaceCoefficient(bath, room.Temperature, area/perimeter))
	loss.Vapour = float64(area * Evaporation(bath, room.Temperature, room.Humidity, room.Speed, v.Activity))
	if v.LidOn {
		loss.Surface = float64(loss.Surface * LidHeat)
		loss.Vapour = float64(loss.Vapour * LidVapour)
	}
	loss.Evaporation = float64(loss.Vapour * LatentHeat(bath))
	return loss
}

// wallCoefficient returns the W/(m2 K) of a vertical wall as high as the level.
func (v Vessel) wallCoefficient(wall, air float64) float64 {
	film := AirAt((wall + air) / 2)
	nusselt := VerticalPlate(film.Rayleigh(wall-air, v.Level), film.Prandtl())
	return float64(nusselt*film.Conductivity/v.Level) + RadiationCoefficient(v.Emissivity, wall, air)
}

// floorCoefficient returns the W/(m2 K) of the floor, which faces down.
func (v Vessel) floorCoefficient(floor, air, length float64) float64 {
	film := AirAt((floor + air) / 2)
	nusselt := HotFaceDown(film.Rayleigh(floor-air, length))
	return float64(nusselt*film.Conductivity/length) + RadiationCoefficient(v.Emissivity, floor, air)
}

// surfaceCoefficient returns the W/(m2 K) of the liquid's surface.
func surfaceCoefficient(water, air, length float64) float64 {
	film := AirAt((water + air) / 2)
	nusselt := HotFaceUp(film.Rayleigh(water-air, length))
	return float64(nusselt*film.Conductivity/length) + RadiationCoefficient(waterEmissivity, water, air)
}
