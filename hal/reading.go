package hal

import "time"

// Reading is one value of a sensor with its quality: whether there is a value
// at all, and how long before the snapshot it was taken. The zero Reading is no
// reading.
type Reading[Q ~int64] struct {
	Value Q
	// Age is the time from the measurement to the snapshot, 0 or more.
	Age time.Duration
	// Valid is false where the sensor gave nothing that could be believed.
	Valid bool
}

// Fresh returns a valid reading taken at the time of the snapshot.
func Fresh[Q ~int64](value Q) Reading[Q] { return Reading[Q]{Value: value, Valid: true} }

// Aged returns a valid reading taken the given time before the snapshot.
func Aged[Q ~int64](value Q, age time.Duration) Reading[Q] {
	return Reading[Q]{Value: value, Age: age, Valid: true}
}

// Within returns the value, and whether it may be used: there is one, and it is
// no older than the given age. A reading from the future may not be used either.
func (r Reading[Q]) Within(age time.Duration) (Q, bool) {
	return r.Value, r.Valid && r.Age >= 0 && r.Age <= age
}
