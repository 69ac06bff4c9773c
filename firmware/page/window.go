package page

import (
	"bytes"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/journal"
	"bathtender/firmware/status/wording"
	"bathtender/hal/quantity"
)

// tracePath returns where the trace of a record is, in its journal: the window of
// a trip, or the trace of a session that has ended. Empty for a record without.
func tracePath(e *journal.Entry) string {
	folder, name := "", ""
	switch {
	case e.Trip != nil && e.Trip.Window != "":
		folder, name = journal.WindowFolder, e.Trip.Window
	case e.Session != nil && e.Session.Trace != "":
		folder, name = journal.SessionFolder, e.Session.Trace
	}
	if name == "" || strings.ContainsAny(name, `/\`) || wording.Plain(name) != name || strings.HasPrefix(name, ".") {
		return "" // a name with a folder in it is none of the journal's
	}
	return folder + "/" + name
}

// window draws the trace of a record.
func (s *server) window(w http.ResponseWriter, r *http.Request) {
	digits, _ := strings.CutSuffix(r.PathValue("record"), ".svg")
	seq, err := strconv.ParseUint(digits, 10, 63)
	if err != nil || seq == 0 {
		sorry(w, http.StatusBadRequest, "record "+quantity.Quote(digits)+" is no number of a record, allowed are whole numbers from 1")
		return
	}
	if !s.turn(r.Context()) {
		return
	}
	defer func() { <-s.reading }()
	text, err := s.draw(seq)
	if err != nil {
		sorry(w, http.StatusNotFound, sentence(err))
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, _ = w.Write(text)
}

func (s *server) draw(seq uint64) ([]byte, error) {
	disk, err := openJournal(s.config.Journal)
	if err != nil {
		return nil, err
	}
	entries, _, _, err := journal.Newest(disk, seq+1, 1)
	if err != nil {
		return nil, err
	}
	if len(entries) == 0 || entries[0].Seq != seq {
		return nil, fmt.Errorf("there is no record %d in the journal", seq)
	}
	e := &entries[0]
	path := tracePath(e)
	if path == "" {
		return nil, fmt.Errorf("record %d has no trace, allowed are trips, lockouts and ends of sessions", seq)
	}
	whole := path
	info, err := os.Stat(filepath.Join(string(disk), filepath.FromSlash(path)))
	if err != nil && e.Session != nil {
		path = journal.ThinnedName(path)
		info, err = os.Stat(filepath.Join(string(disk), filepath.FromSlash(path)))
	}
	if err != nil {
		return nil, fmt.Errorf("%s of record %d cannot be read: %w", whole, seq, fileerror.Cause(err))
	}
	sheet, meta, err := loadSheet(disk, path, info.Size())
	if sheet == nil {
		return nil, err
	}
	about := fmt.Sprintf("record %d, %s; %s", seq, e.Wall.In(time.Local).Format("2006-01-02 15:04:05 MST"), path)
	if meta.Origin != "" {
		about += "; a " + string(meta.Origin) + " trace"
	}
	if err != nil {
		about += "; not whole: " + sentence(err)
	}
	sheet.Title, sheet.About = wording.Plain(e.Text), about
	sheet.Zero, sheet.Mark = e.Mono.Duration(), string(e.Kind)
	if e.Session != nil {
		sheet.Zero, sheet.Mark = e.Session.Began.Duration(), "start"
	}
	var out bytes.Buffer
	err = sheet.Write(&out)
	return out.Bytes(), err
}
