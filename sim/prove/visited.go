package prove

import (
	"encoding/binary"
	"math/bits"
)

// mark is a fingerprint of 128 bits of a state's text. Of n states two share one
// by chance with a probability under n*n / 2^129: for ten million states that is
// 1.5e-25. A state taken for another one would not be searched.
type mark struct{ a, b uint64 }

// visited is the set of the marks of all states seen: open addressing with
// linear probing. The zero mark stands for an empty place.
type visited struct {
	table []mark
	n     int
}

func newVisited() *visited { return &visited{table: make([]mark, 1<<12)} }

// add puts a mark in, and reports whether it was new.
func (v *visited) add(m mark) bool {
	if 4*v.n >= 3*len(v.table) {
		v.grow()
	}
	if !v.put(m) {
		return false
	}
	v.n++
	return true
}

func (v *visited) put(m mark) bool {
	last := uint64(len(v.table) - 1)
	for at := m.a & last; ; at = (at + 1) & last {
		switch v.table[at] {
		case m:
			return false
		case mark{}:
			v.table[at] = m
			return true
		}
	}
}

func (v *visited) grow() {
	old := v.table
	v.table = make([]mark, 2*len(old))
	for _, m := range old {
		if m != (mark{}) {
			v.put(m)
		}
	}
}

// bytes returns how much room the set takes.
func (v *visited) bytes() int { return 16 * len(v.table) }

// markOf mixes a text, whose length is a multiple of 8, into a mark: two chains
// of multiplications of 128 bits, folded, with odd constants of their own.
func markOf(text []byte) mark {
	a, b := uint64(0x9e3779b97f4a7c15)^uint64(len(text)), uint64(0xc2b2ae3d27d4eb4f)
	for ; len(text) >= 8; text = text[8:] {
		x := binary.LittleEndian.Uint64(text)
		a = fold(a^x, 0xd6e8feb86659fd93)
		b = fold(b+x, 0xa0761d6478bd642f) ^ a
	}
	a, b = fold(a^b, 0x8ebc6af09c88c6e3), fold(b^0x589965cc75374cc3, a|1)
	if a == 0 && b == 0 {
		b = 1
	}
	return mark{a, b}
}

// fold multiplies to 128 bits and folds the halves together, so that both ends
// of the product count.
func fold(x, by uint64) uint64 {
	high, low := bits.Mul64(x, by)
	return high ^ low ^ x<<32>>1
}
