//go:build !unix

package journal

import "os"

// syncFolder does nothing: these systems cannot make a folder durable by
// itself. The board runs Linux; here the simulator writes its journals.
func syncFolder(string) error { return nil }

// lock opens the file of the lock only.
func (f Folder) lock() (*os.File, error) {
	return os.OpenFile(f.path(lockName), os.O_RDWR|os.O_CREATE, 0o644)
}
