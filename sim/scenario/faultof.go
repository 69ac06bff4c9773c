package scenario

import (
	"strings"

	"bathtender/firmware/tomlfile"
	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/sim/fault"
)

// faultOf reads a fault, its place and its amount; without a kind where one of them
// is wrong.
func (r *reader) faultOf(t *tomlfile.Table) fault.Fault {
	name := t.NeedText("fault", 80)
	if name == "" {
		return fault.Fault{}
	}
	kind := fault.Find(name)
	if kind == nil {
		near := quantity.Nearest(name, fault.Names())
		if near != "" {
			near = ", did you mean " + quantity.Quote(near) + "?"
		}
		t.Report("fault", "fault %s in %s is not in the catalogue%s; allowed are %s", quantity.Quote(name), t.Label(), near, strings.Join(fault.Names(), ", "))
		for _, key := range [...]string{"fan", "bank", "probe", "amount"} {
			t.Has(key) // one of them may well belong to the fault that was meant
		}
		return fault.Fault{}
	}
	place, found := r.placeOf(t, kind)
	size, good := sizeOf(t, kind)
	if !found || !good {
		return fault.Fault{}
	}
	return fault.Fault{Kind: kind, Place: place, Size: size}
}

// placeOf reads which fan, bank or probe it is: one that the machine has, since a
// fault of another would pass for one that does no harm.
func (r *reader) placeOf(t *tomlfile.Table, kind *fault.Kind) (place int, ok bool) {
	fans, banks := hal.MaxFans, hal.MaxBanks
	if r.s.Machine != nil {
		fans, banks = len(r.s.Machine.Fans), len(r.s.Machine.Banks)
	}
	switch kind.Of {
	case fault.AFan:
		place = t.NeedInteger("fan", 1, fans)
		return place - 1, place > 0
	case fault.ABank:
		place = t.NeedInteger("bank", 1, banks)
		return place - 1, place > 0
	case fault.AProbe:
		word := t.NeedChoice("probe", fault.ProbeNames[:]...)
		for i, name := range fault.ProbeNames {
			if name != word {
				continue
			}
			if r.s.Machine != nil && !r.s.Machine.Probes[i].Fitted {
				t.Report("probe", "probe %s in %s is not fitted in this machine, allowed is one that is", quantity.Quote(word), t.Label())
			}
			return i, true
		}
		return 0, false
	}
	return 0, true
}

// sizeOf reads how much of the fault there is.
func sizeOf(t *tomlfile.Table, kind *fault.Kind) (size float64, ok bool) {
	if kind.Amount == fault.NoAmount {
		return 1, true
	}
	if !t.Has("amount") {
		return kind.Usual, true
	}
	text := t.Text("amount", 40)
	if text == "" {
		return 0, false // told already
	}
	size, err := kind.Amount.Parse(text)
	switch {
	case err != nil:
		t.Report("amount", "amount in %s: %s", t.Label(), err)
		return 0, false
	case size < kind.Least || size > kind.Most:
		t.Report("amount", "amount %s in %s is out of range, allowed are %s to %s", quantity.Quote(text), t.Label(),
			kind.Amount.Number(kind.Least), kind.Amount.Number(kind.Most))
		return 0, false
	}
	return size, true
}
