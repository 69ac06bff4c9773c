package hal

// Board is a cabinet, real, modelled or recorded.
type Board interface {
	// Read fills in a snapshot without waiting for any slow sensor: a reading
	// that is not new carries its age. An error means that the snapshot as a
	// whole could not be had; io.EOF that there will be no more of them.
	Read(*Snapshot) error
	// Write drives the outputs and renews their lease. An error means that
	// not all of them are known to be as asked.
	Write(Outputs) error
}
