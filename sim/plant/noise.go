package plant

import "math/rand/v2"

// noise is the plant's only source of chance. How often it is drawn from does
// not depend on outputs or faults, so a fault changes only what it changes.
type noise struct{ source rand.PCG }

func newNoise(seed uint64) noise { return noise{*rand.NewPCG(seed, 0x74616e6b)} }

// uniform returns a number from -1 to 1, evenly spread.
func (n *noise) uniform() float64 {
	return float64(float64(n.source.Uint64()>>11)/(1<<52)) - 1
}

// bell returns a number of mean 0 and variance 1, from -3 to 3: the sum of three
// evenly spread ones, all from one draw.
func (n *noise) bell() float64 {
	bits := n.source.Uint64()
	const third = 1<<21 - 1
	sum := bits&third + bits>>21&third + bits>>42&third
	return float64((float64(sum)/third - 1.5) * 2)
}
