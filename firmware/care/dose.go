package care

import (
	"fmt"

	"bathtender/hal"
	"bathtender/hal/quantity"
)

// Dose is how much concentrate and water make an amount of bath.
type Dose struct {
	Bath, Concentrate, Water hal.Volume
}

// DoseOf returns the dose for an amount of bath at one part of concentrate to so many
// parts of water; 0 parts is water alone. The concentrate is measured as people do, 1:50
// as a fiftieth of the bath (common practice, no source); strictly it is one part in 51,
// 2 % less.
func DoseOf(bath hal.Volume, parts int) Dose {
	d := Dose{Bath: bath, Water: bath}
	if parts > 0 {
		n := hal.Volume(parts)
		d.Concentrate = (bath + n/2) / n
		d.Water = bath - d.Concentrate
	}
	return d
}

// Sentence returns the dose in plain words.
func (d Dose) Sentence() string {
	bath := quantity.FormatVolume(d.Bath)
	if d.Concentrate == 0 {
		return bath + " of bath: water alone"
	}
	return fmt.Sprintf("%s of bath: %s of concentrate and %s of water", bath, millilitres(d.Concentrate), litres(d.Water))
}

// millilitres returns an amount as a measuring jug has it: to a millilitre, and to a
// tenth under 10 ml.
func millilitres(v hal.Volume) string {
	if v < 10*hal.MilliLitre {
		tenths := (v + hal.MilliLitre/20) / (hal.MilliLitre / 10)
		if tenths%10 != 0 {
			return fmt.Sprintf("%d.%d ml", tenths/10, tenths%10)
		}
		return fmt.Sprintf("%d ml", tenths/10)
	}
	return fmt.Sprintf("%d ml", (v+hal.MilliLitre/2)/hal.MilliLitre)
}

// litres returns an amount to ten millilitres, so that it adds up with the concentrate.
func litres(v hal.Volume) string {
	const ten = 10 * hal.MilliLitre
	hundredths := (v + ten/2) / ten
	return fmt.Sprintf("%d.%02d l", hundredths/100, hundredths%100)
}
