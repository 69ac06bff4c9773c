//go:build !linux

package journal

// Sync makes the file durable.
func (f osFile) Sync() error {
	if err := f.File.Sync(); err != nil {
		return err
	}
	return f.inPlace()
}
