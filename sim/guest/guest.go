package guest

import "time"

// Guest is a machine that is to be emulated.
type Guest struct {
	// Kernel is the path of its kernel.
	Kernel string
	// Files are those of its file system; the first process must be at /init.
	Files map[string]File
	// Jobs are run one after another.
	Jobs []Job
	// Kernel parameters beside those that every guest has.
	Parameters string
	// Devices are further arguments of the emulator.
	Devices []string
	// Pace is how the guest's time passes.
	Pace Pace
	// Limit is how long it may take; five minutes where it is 0.
	Limit time.Duration
}

// Pace is how the time of a guest passes.
type Pace int

// Paces.
const (
	// RealTime is the time outside. A guest whose emulator has to wait for a busy
	// processor is late.
	RealTime Pace = iota
	// Skipping is 1 ns for each instruction, and no waiting: time in which there is
	// nothing to do is passed over. It is not late, whatever else the machine outside
	// does, and nothing outside shares its clock.
	Skipping
)
