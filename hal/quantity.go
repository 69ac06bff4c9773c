package hal

// RotationalSpeed is a speed of rotation in thousandths of a revolution per
// minute. A tach that gives 2 pulses a revolution at 1 Hz turns at 30 rpm.
type RotationalSpeed int64

// Units of RotationalSpeed.
const (
	MilliRPM RotationalSpeed = 1
	RPM      RotationalSpeed = 1000 * MilliRPM
)

// Volume is an amount of liquid in microlitres.
type Volume int64

// Units of Volume.
const (
	MicroLitre Volume = 1
	MilliLitre Volume = 1000 * MicroLitre
	Litre      Volume = 1000 * MilliLitre
)
