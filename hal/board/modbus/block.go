package modbus

import (
	"cmp"
	"slices"
)

// block is what is asked for at once.
type block struct {
	table     Table
	first     uint16
	count     int
	registers []Register
	// more is how many registers behind the block may be asked for too, so that
	// two requests differ; 0 where the meter refuses.
	more int
}

// near is how many registers of no interest are fetched along rather than asked
// again: at 9600 baud a request takes as long as about ten of them. Own choice.
const near = 16

// blocks returns what to ask for to have all registers, those that lie close
// together at once.
func blocks(registers []Register) []block {
	sorted := slices.Clone(registers)
	slices.SortStableFunc(sorted, func(a, b Register) int {
		return cmp.Or(cmp.Compare(a.Table, b.Table), cmp.Compare(a.Number, b.Number))
	})
	var list []block
	for _, r := range sorted {
		if n := len(list); n > 0 {
			b := &list[n-1]
			end := int(b.first) + b.count
			to := max(end, r.Number+r.Form.words())
			if b.table == r.Table && r.Number <= end+near && to-int(b.first) <= MaxRegisters {
				b.registers = append(b.registers, r)
				b.count = to - int(b.first)
				b.more = extra(*b)
				continue
			}
		}
		list = append(list, alone(r))
	}
	return list
}

// alone returns the block of one register.
func alone(r Register) block {
	b := block{table: r.Table, first: uint16(r.Number), count: r.Form.words(), registers: []Register{r}}
	b.more = extra(b)
	return b
}

// extra returns how many registers more may be asked for. A meter of numbers that
// take two registers often gives no half of one.
func extra(b block) int {
	n := 2
	if slices.ContainsFunc(b.registers, func(r Register) bool { return r.Form.words() == 1 }) {
		n = 1
	}
	if b.count+n > MaxRegisters || int(b.first)+b.count+n > 65536 {
		return 0
	}
	return n
}
