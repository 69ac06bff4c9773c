package journal

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"bathtender/firmware/fileerror"
	"bathtender/hal/trace"
)

// DefaultMost is how many bytes a journal takes at most.
const DefaultMost = 200 << 20

// What is kept how long. The clock of a board without a battery cannot be
// trusted, so age counts in sessions. Records are never removed.
const (
	sessionsWhole   = 100 // the newest, a row every five seconds
	sessionsThinned = 400 // those before, a row every thirty seconds
	windowsLeast    = 40  // never removed for room
	thinnedTail     = "-thinned.csv"
	thinnedEvery    = 6 // rows
)

// tidy thins out and removes old traces. It does a little at a time, and comes
// again until there is nothing left to do.
func (b *Book) tidy() error {
	b.tidyDue = false
	sessions, windows := b.traces(SessionFolder), b.traces(WindowFolder)
	if n := len(sessions) - sessionsWhole - sessionsThinned; n > 0 {
		b.tidyDue = true
		return b.drop(sessions[0], "older than the "+fmt.Sprint(sessionsWhole+sessionsThinned)+" newest sessions")
	}
	for i := range max(len(sessions)-sessionsWhole, 0) {
		if !strings.HasSuffix(sessions[i].Name, thinnedTail) {
			b.tidyDue = true
			return b.thin(sessions[i])
		}
	}
	most := b.cabinet.Most
	if most == 0 {
		most = DefaultMost
	}
	if b.taken() <= most {
		return nil
	}
	const why = "the journal is over its size"
	switch {
	case len(sessions) > 0:
		b.tidyDue = true
		return b.drop(sessions[0], why)
	case len(windows) > windowsLeast:
		b.tidyDue = true
		return b.drop(windows[0], why)
	default:
		return nil // what is left is kept whatever its size
	}
}

// old is a trace of a folder, with its sidecar.
type old struct {
	folder string
	Stored
}

// traces returns the traces of a folder, oldest first. A thinned one sorts after
// a whole one of the same number, which is removed last.
func (b *Book) traces(folder string) []old {
	files, err := b.disk.List(folder)
	if err != nil {
		return nil // nothing is removed from what cannot be read
	}
	var list []old
	for _, f := range files {
		if strings.HasSuffix(f.Name, ".csv") {
			list = append(list, old{folder, f})
		}
	}
	return list
}

// taken returns the bytes of all files.
func (b *Book) taken() int64 {
	sum := int64(0)
	for _, folder := range []string{"", WindowFolder, SessionFolder, fileFolder, inboxFolder} {
		files, err := b.disk.List(folder)
		if err != nil {
			return 0
		}
		for _, f := range files {
			sum += f.Size
		}
	}
	return sum
}

func (b *Book) drop(t old, why string) error {
	name := t.folder + "/" + t.Name
	err := b.disk.Remove(name)
	if err == nil {
		err = b.disk.Remove(trace.SidecarPath(name))
	}
	if err != nil {
		return fmt.Errorf("%s cannot be removed: %w", name, fileerror.Cause(err))
	}
	b.add(&Entry{Kind: ThinnedKind, Text: fmt.Sprintf("%s was removed: %s", name, why)})
	return nil
}

// ThinnedName returns the name of a session's trace once it has been thinned out.
func ThinnedName(name string) string { return strings.TrimSuffix(name, ".csv") + thinnedTail }

// thin replaces a session's trace by one of fewer rows. What happened stays in
// it.
func (b *Book) thin(t old) error {
	name := t.folder + "/" + t.Name
	thinned := ThinnedName(name)
	if err := b.thinTo(name, thinned); err != nil {
		// One that cannot be thinned is no use to anybody.
		return b.drop(t, fmt.Sprintf("it could not be thinned out: %v", err))
	}
	return b.drop(t, "thinned out to "+thinned)
}

func (b *Book) thinTo(name, thinned string) error {
	data, err := b.disk.Read(name)
	if err != nil {
		return fileerror.Cause(err)
	}
	sidecar, err := b.disk.Read(trace.SidecarPath(name))
	if err != nil {
		return fileerror.Cause(err)
	}
	meta, _, err := trace.ParseMetadata(sidecar, trace.SidecarPath(name))
	if err != nil {
		return err
	}
	reader, err := trace.NewReader(bytes.NewReader(data), name)
	if err != nil {
		return err
	}
	meta.Tick *= thinnedEvery
	meta.State = "" // rows are left out: it cannot be replayed
	layout := reader.Layout()
	layout.Banks = b.cabinet.Banks
	target, err := newRecording(b.disk, thinned, layout, meta)
	if err != nil {
		return err
	}
	var row trace.Row
	for n := 0; ; n++ {
		if err := reader.Next(&row); err == io.EOF {
			break
		} else if err != nil {
			return err
		}
		if n%thinnedEvery != 0 && row.Events == "" {
			continue
		}
		if err := target.write(&row); err != nil {
			return err
		}
	}
	defer target.close()
	return target.flush()
}
