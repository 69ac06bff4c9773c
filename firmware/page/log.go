package page

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"strconv"
	"time"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/journal"
	"bathtender/firmware/status/wording"
	"bathtender/hal/quantity"
)

// logMost is how many records one page of the log has.
const logMost = 200

// damagesMost is how many places of damage are told.
const damagesMost = 10

// logFacts are what the template of the log shows.
type logFacts struct {
	Entries  []logEntry
	Newer    bool   // than what is shown
	Older    uint64 // the number before which the older ones begin; 0 for none
	Problem  string
	Damages  []string
	Unshown  int // damages beyond those
	Recorded bool
}

type logEntry struct {
	Seq              uint64
	Wall, Kind, Text string
	Picture          bool
	FirstOut         bool
	Grave            bool
}

// log shows the records of the journal, the newest first.
func (s *server) log(w http.ResponseWriter, r *http.Request) {
	before := uint64(0)
	if text := r.URL.Query().Get("before"); text != "" {
		n, err := strconv.ParseUint(text, 10, 64)
		if err != nil || n == 0 {
			sorry(w, http.StatusBadRequest, "before "+quantity.Quote(text)+" is no number of a record, allowed are whole numbers from 1")
			return
		}
		before = n
	}
	if !s.turn(r.Context()) {
		return
	}
	defer func() { <-s.reading }()
	s.show(w, "log.html", s.logFacts(before))
}

// turn waits until nobody else reads the journal, so that many watchers do not
// take all of a small board. It reports false where the watcher has gone.
func (s *server) turn(ctx context.Context) bool {
	select {
	case s.reading <- struct{}{}:
		return true
	case <-ctx.Done():
		return false
	}
}

func (s *server) logFacts(before uint64) *logFacts {
	f := &logFacts{Newer: before > 0}
	folder, err := openJournal(s.config.Journal)
	if err != nil {
		f.Problem = sentence(err)
		return f
	}
	entries, older, damages, err := journal.Newest(folder, before, logMost)
	if err != nil {
		f.Problem = sentence(err)
		return f
	}
	for i, d := range damages {
		if i == damagesMost {
			f.Unshown = len(damages) - i
			break
		}
		f.Damages = append(f.Damages, wording.Plain(d.String()))
	}
	for i := range entries {
		e := &entries[i]
		f.Entries = append(f.Entries, logEntry{
			Seq: e.Seq, Wall: e.Wall.In(time.Local).Format("2006-01-02 15:04:05"), Kind: wording.Plain(string(e.Kind)), Text: wording.Plain(e.Text),
			Picture: tracePath(e) != "", FirstOut: e.Trip != nil && e.Trip.FirstOut,
			Grave: e.Kind == journal.TripKind || e.Kind == journal.LockoutKind,
		})
	}
	if older && len(entries) > 0 {
		f.Older = entries[len(entries)-1].Seq
	}
	return f
}

// openJournal returns the journal in a folder, to be read. The error says why
// there is none.
func openJournal(folder string) (journal.Folder, error) {
	if folder == "" {
		return "", fmt.Errorf("this page was given no journal")
	}
	info, err := os.Stat(folder)
	switch {
	case err != nil:
		return "", fmt.Errorf("the journal in %s cannot be read: %w", quantity.Quote(folder), fileerror.Cause(err))
	case !info.IsDir():
		return "", fmt.Errorf("%s is no folder, allowed is that of a journal", quantity.Quote(folder))
	}
	return journal.Folder(folder), nil
}
