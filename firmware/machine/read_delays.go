package machine

import (
	"time"

	"bathtender/firmware/tomlfile"
	"bathtender/hal/quantity"
	"bathtender/interlock"
)

// readDelays reads how long each protective function's cause must stand. A delay
// may be shortened, and lengthened as far as the function's table allows.
func (r *reader) readDelays() {
	t := r.file.Root().TableIf("delays")
	for f := range interlock.FunctionCount {
		usual, most := interlock.DefaultDelay(f)
		r.m.Delays[f] = tomlfile.Or(t, f.Key(), quantity.Duration, usual, time.Duration(0), most)
	}
}
