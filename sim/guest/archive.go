package guest

import (
	"fmt"
	"io"
	"path"
	"sort"
	"strings"
)

// File is one file of an initramfs.
type File struct {
	Data []byte
	// Mode is its permission bits, for instance 0o755 for a program.
	Mode uint32
}

// Kinds of entries of an archive, as in the mode of stat(2).
const (
	modeFolder  = 0o040000
	modeRegular = 0o100000
	modeDevice  = 0o020000 // of characters
)

// WriteArchive writes the files, by their absolute paths, with the folders that they
// are in and /dev/console, as a cpio archive of the "new ASCII" form that the kernel
// unpacks as its first file system (Documentation/driver-api/early-userspace/
// buffer-format.rst in its source: "070701", then 13 numbers of 8 hexadecimal digits,
// name and data each padded to 4 bytes, at the end an entry named TRAILER!!!). The
// same files give the same bytes.
func WriteArchive(w io.Writer, files map[string]File) error {
	a := archive{w: w}
	for _, folder := range folders(files) {
		a.add(folder, entry{mode: modeFolder | 0o755, links: 2})
	}
	// The kernel opens it for the first process before anything is mounted.
	a.add("dev/console", entry{mode: modeDevice | 0o600, major: 5, minor: 1, links: 1})
	names := make([]string, 0, len(files))
	for name := range files {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		f := files[name]
		a.add(strings.TrimPrefix(path.Clean(name), "/"), entry{mode: modeRegular | f.Mode&0o7777, links: 1, data: f.Data})
	}
	a.inode = -1
	a.add("TRAILER!!!", entry{links: 1})
	return a.err
}

// folders returns the folders of the files and those that are mounted on, each after
// the one that it is in.
func folders(files map[string]File) []string {
	found := map[string]bool{}
	add := func(folder string) {
		for ; folder != "." && folder != "/" && folder != ""; folder = path.Dir(folder) {
			found[strings.TrimPrefix(folder, "/")] = true
		}
	}
	for name := range files {
		add(path.Dir(path.Clean(name)))
	}
	for _, mounted := range []string{"dev", "proc", "sys", "tmp"} {
		add(mounted)
	}
	sorted := make([]string, 0, len(found))
	for folder := range found {
		sorted = append(sorted, folder)
	}
	sort.Strings(sorted)
	return sorted
}

type entry struct {
	mode, links, major, minor uint32
	data                      []byte
}

// archive is an archive that is being written. After an error nothing more is.
type archive struct {
	w     io.Writer
	inode int64
	err   error
}

func (a *archive) add(name string, e entry) {
	a.inode++
	header := fmt.Sprintf("070701%08X%08X%08X%08X%08X%08X%08X%08X%08X%08X%08X%08X%08X",
		a.inode, e.mode, 0, 0, e.links, 0, len(e.data), 0, 0, e.major, e.minor, len(name)+1, 0)
	a.write([]byte(header + name + "\x00"))
	a.pad(len(header) + len(name) + 1)
	a.write(e.data)
	a.pad(len(e.data))
}

func (a *archive) write(data []byte) {
	if a.err == nil {
		_, a.err = a.w.Write(data)
	}
}

func (a *archive) pad(length int) { a.write(make([]byte, (4-length%4)%4)) }
