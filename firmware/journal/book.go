package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/supervisor"
	"bathtender/hal/trace"
	"bathtender/interlock"
)

// Cabinet is what every record and trace of a journal carries.
type Cabinet struct {
	// Program is its version, Machine the fingerprint of the machine file.
	Program, Machine string
	Fans, Banks      int
	Tick             time.Duration
	Origin           trace.Origin
	Seed             uint64 // of a synthetic one
	// Files are the machine file, then the recipes, as they are now.
	Files []Copy
	// Most is how many bytes the journal may take; 0 for DefaultMost.
	Most int64
}

// Copy is a file that a journal keeps as it was.
type Copy struct {
	Fingerprint string // SHA-256, in hexadecimal
	Data        []byte
}

// Book is a journal that is written. It is not safe for several goroutines.
type Book struct {
	disk    Disk
	cabinet Cabinet
	store   store
	opened  bool
	boot    uint32

	kept    supervisor.Kept // as last handed in
	noted   uint64
	keptDue bool // it is not stored yet
	// protectsDue says that what is not stored is what protects.
	protectsDue bool
	// unreadable says that kept.json cannot be read, and has not been stored anew.
	unreadable bool

	failure error
	retryAt time.Duration
	lost    Lost
	// losing is what was lost when it was last looked at, and since when.
	losing   Lost
	losingAt time.Duration
	now      Item // the last item; its wall and mono time go with every record

	ring    ring
	window  *window
	session *session
	closing []*recording // recordings that wait for their last rows to be written
	flood   flood
	tidyDue bool
	// filesDue says that the machine file and the recipes are not kept yet.
	filesDue bool
	tidied   time.Duration
	looked   time.Duration // when the disk is looked at next
	seen     map[string]bool
	// liquidDue says that the loop has not been told of the liquid in kept.
	liquidDue bool
	first     error // why kept.json could not be read
}

const keptName = "kept.json"

// Create makes an empty journal on a disk, which must not hold one already. Where
// that fails, nothing is left of it.
func Create(disk Disk) error {
	there, err := disk.List("")
	if err != nil {
		return fmt.Errorf("the journal cannot be made: %w", fileerror.Cause(err))
	}
	for _, file := range there {
		if IsPart(file.Name) {
			return fmt.Errorf("%s is there already: this is a journal", file.Name)
		}
	}
	if err := fillNew(disk); err != nil {
		for _, name := range [...]string{lastName, keptName} {
			_ = disk.Remove(name)
		}
		return fmt.Errorf("the journal cannot be made: %w", fileerror.Cause(err))
	}
	return nil
}

// IsPart reports whether a file of this name, in the folder of a journal, can only
// be a part of it.
func IsPart(name string) bool {
	_, segment := segmentNumber(name)
	return name == keptName || name == lastName || segment
}

func fillNew(disk Disk) error {
	if err := newStore(disk); err != nil {
		return err
	}
	line, err := appendLine(nil, keptOf(supervisor.Kept{}, 0, 0))
	if err != nil {
		return err
	}
	return disk.Replace(keptName, line)
}

// Open begins a run of the program in a journal, and returns what was kept from
// the run before. It always returns a Book: where the journal cannot be read or
// written, the book says so in Why, is neither OK nor KeptOK, and tries again.
func Open(disk Disk, cabinet Cabinet, wall time.Time) (*Book, supervisor.Kept) {
	b := &Book{disk: disk, cabinet: cabinet, store: store{disk: disk}, ring: newRing(cabinet.Tick)}
	b.now.Wall = wall
	stored, err := b.readKept()
	if err == nil {
		b.kept, err = stored.restore()
	}
	if err != nil {
		b.unreadable = true
		b.kept = supervisor.Kept{Record: b.kept.Record} // the lockouts are not known
	} else {
		b.boot, b.noted = stored.Boot, stored.Noted
	}
	b.kept.Today = Day(wall)
	b.begin(err)
	b.liquidDue = false // the supervisor begins with what is returned
	return b, b.kept
}

func (b *Book) readKept() (*Kept, error) {
	data, err := b.disk.Read(keptName)
	if err != nil {
		return nil, fileerror.Cause(err)
	}
	var stored Kept
	if err := parseLine(bytes.TrimSuffix(data, []byte("\n")), &stored); err != nil {
		return nil, err
	}
	return &stored, nil
}

// Take puts the next item in.
func (b *Book) Take(item *Item) {
	now := item.Row.Time
	b.now.Wall, b.now.Row.Time = item.Wall, now
	if item.Cut {
		b.cut()
	}
	if item.Liquid {
		b.liquidDue = false
	}
	b.ring.push(&item.Row, item.State)
	if item.Kept != nil {
		if protects(&b.kept, item.Kept) {
			b.protectsDue = true
			b.retryAt = now // not even a disk that has just failed is left alone
		}
		liquid := b.kept.Record.Liquid
		b.kept, b.keptDue = *item.Kept, true
		if b.liquidDue {
			b.kept.Record.Liquid = liquid
		}
	}
	if b.window != nil {
		b.failed(b.window.write(&item.Row))
	}
	if b.session != nil {
		b.session.count(&item.Row)
	}
	for i := range item.Told {
		b.tell(item, &item.Told[i])
	}
	if b.session != nil && b.session.due(&item.Row) {
		b.failed(b.session.trace.write(&item.Row))
	}
	if line := b.flood.over(now); line != "" {
		b.add(&Entry{Kind: ThinnedKind, Text: line})
	}
	b.settle(now)
}

// cut notes that rows are missing before the next one: no window may go across.
func (b *Book) cut() {
	b.ring.clear()
	if b.window != nil {
		b.finish(b.window.recording)
		b.window = nil
	}
}

// finish lets a recording be closed once its rows are written.
func (b *Book) finish(r *recording) { b.closing = append(b.closing, r) }

// failed notes that a row could not be put into a trace; that is a fault of the
// row, not of the disk.
func (b *Book) failed(err error) {
	if err != nil {
		b.lost.Rows++
		b.lost.Why = err.Error()
	}
}

// add records an entry. Where too many wait for a failing disk it counts it as
// lost, and reports that.
func (b *Book) add(e *Entry) bool {
	e.Wall, e.Mono = Wall{b.now.Wall}, Seconds(b.now.Row.Time)
	e.Boot, e.Program, e.Machine = b.boot, b.cabinet.Program, short(b.cabinet.Machine)
	err := errShut
	if b.opened {
		err = b.store.take(e)
	}
	if err != nil {
		b.lost.Events++
		b.lost.Why = err.Error()
		return false
	}
	return true
}

var errShut = errors.New("the journal is not open")

// Miss counts what a full queue left no room for.
func (b *Book) Miss(lost Lost) {
	b.lost.Events += lost.Events
	b.lost.Rows += lost.Rows
	if lost.Why != "" {
		b.lost.Why = lost.Why
	}
	b.cut()
}

// OK reports whether all that happened is durable, so that a start may be given.
func (b *Book) OK() bool {
	return b.opened && b.failure == nil && b.store.records == 0 && !b.protectsDue && b.lost == (Lost{})
}

// KeptOK reports whether what was kept from the run before could be read, or has
// been stored anew since.
func (b *Book) KeptOK() bool { return !b.unreadable }

// Why says in a sentence why the book is not OK; nothing where it is.
func (b *Book) Why() string {
	switch {
	case b.failure != nil:
		return b.failure.Error()
	case b.OK():
		return ""
	default:
		return "what happened last is being written"
	}
}

// short cuts a fingerprint to what a record carries of it.
func short(fingerprint string) string { return fingerprint[:min(16, len(fingerprint))] }

// readings returns a row as a JSON object, with the names of a trace's columns.
func (b *Book) readings(row *trace.Row) json.RawMessage {
	layout := b.layout()
	layout.Events = false
	bare := *row
	bare.Events = ""
	fields, err := layout.Fields(&bare)
	if err != nil {
		return nil
	}
	text := []byte{'{'}
	for i, f := range fields {
		if i > 0 {
			text = append(text, ',')
		}
		text = fmt.Appendf(text, "%q:", f.Name)
		if f.Number {
			text = append(text, f.Value...)
			continue
		}
		quoted, err := json.Marshal(f.Value)
		if err != nil {
			return nil
		}
		text = append(text, quoted...)
	}
	return append(text, '}')
}

// Day returns the day of a wall clock, counted from 1 January 1970; 0 where the
// clock cannot be right: a board without a battery begins in the past.
func Day(wall time.Time) int32 {
	if wall.Year() < 2025 {
		return 0
	}
	return int32(wall.Unix() / int64((24 * time.Hour).Seconds()))
}

// TripOf returns what a record says of an event of a protective function.
func tripOf(e *interlock.Event) *Trip {
	t := &Trip{Function: e.Function.Name(), FirstOut: e.FirstOut}
	if interlock.Table[e.Function].Scope != interlock.Whole {
		t.Place = int(e.Place) + 1
	}
	return t
}
