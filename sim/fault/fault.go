package fault

import (
	"bathtender/hal"
	"bathtender/interlock"
	"bathtender/sim/plant"
)

// Fault is one fault of the catalogue, with its place and its size.
type Fault struct {
	Kind *Kind
	// Place is that of the fan, probe or bank, from 0.
	Place int
	// Size is the amount in the kind's measure; 1 for a kind without.
	Size float64
}

// Find returns the kind of a name, nil where there is none.
func Find(name string) *Kind {
	for i := range Catalogue {
		if Catalogue[i].Name == name {
			return &Catalogue[i]
		}
	}
	return nil
}

// Names returns the names of all kinds.
func Names() []string {
	names := make([]string, len(Catalogue))
	for i := range Catalogue {
		names[i] = Catalogue[i].Name
	}
	return names
}

// Begin makes the fault in the plant.
func (f Fault) Begin(faults *plant.Faults) { f.Kind.set(faults, f.Place, f.Size) }

// End takes the fault away. What it did by then remains.
func (f Fault) End(faults *plant.Faults) { f.Kind.set(faults, f.Place, 0) }

// String returns the fault as a scenario names it: "fan stalled, fan 2".
func (f Fault) String() string {
	text := f.Kind.Name
	switch f.Kind.Of {
	case AFan:
		text += ", " + interlock.EachFan.It(f.Place)
	case ABank:
		text += ", " + interlock.EachBank.It(f.Place)
	case AProbe:
		text += ", " + ProbeNames[f.Place]
	}
	return text + f.Kind.Amount.Text(f.Size)
}

// ProbeNames are the names of the probes, by their places.
var ProbeNames = [hal.MaxProbes]string{"bath A", "bath B", "cabinet"}

// Grade returns the size of a fault that has grown to a share of its size: from
// nothing, or for a voltage from the nominal one of most of the world, 230 V.
func (k *Kind) Grade(size, share float64) float64 {
	switch k.Amount {
	case NoAmount:
		return size
	case Volts:
		return 230 + share*(size-230)
	default:
		return share * size
	}
}
