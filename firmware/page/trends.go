package page

import (
	"bytes"
	"fmt"
	"html/template"
	"strings"
	"sync"
	"time"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/journal"
	"bathtender/firmware/journal/picture"
	"bathtender/firmware/status/wording"
	"bathtender/hal/trace"
)

const (
	// traceMost is the largest trace that is drawn, in bytes.
	traceMost = 16 << 20
	// lookEvery is the time between two looks for a newer trace.
	lookEvery = 10 * time.Second
)

// trendsFacts are what the template shows of the last session.
type trendsFacts struct {
	Name     string // of the trace
	Pictures []trend
	Problem  string // why there is none, or not all
}

type trend struct {
	Title string
	SVG   template.HTML // made by picture, which escapes whatever is in it
}

// trends has the pictures of the newest session, drawn anew when its trace has
// grown.
type trends struct {
	folder string // of the journal; empty for none

	mutex   sync.Mutex
	looked  time.Time
	name    string
	size    int64
	version int
	facts   trendsFacts
}

// get returns the pictures and a number that is another when they are.
func (t *trends) get() (trendsFacts, int) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if !t.looked.IsZero() && time.Since(t.looked) < lookEvery {
		return t.facts, t.version
	}
	name, size, problem := t.newest()
	if t.looked.IsZero() || name != t.name || size != t.size || problem != t.facts.Problem && name == "" {
		t.name, t.size = name, size
		t.facts = trendsFacts{Problem: problem}
		if name != "" {
			t.facts = t.draw(name, size)
		}
		t.version++
	}
	t.looked = time.Now() // after the work, so that a slow board does other things too
	return t.facts, t.version
}

// newest returns the trace of the newest session.
func (t *trends) newest() (name string, size int64, problem string) {
	if t.folder == "" {
		return "", 0, "This page was given no journal."
	}
	files, err := journal.Folder(t.folder).List(journal.SessionFolder)
	if err != nil {
		return "", 0, fmt.Sprintf("The traces of the journal cannot be read: %v.", fileerror.Cause(err))
	}
	for _, f := range files { // sorted by name, that is by number
		if strings.HasPrefix(f.Name, "session-") && strings.HasSuffix(f.Name, ".csv") {
			name, size = f.Name, f.Size
		}
	}
	if name == "" {
		return "", 0, "No session has been recorded yet."
	}
	return name, size, ""
}

func (t *trends) draw(name string, size int64) trendsFacts {
	f := trendsFacts{Name: wording.Plain(name)}
	sheet, _, err := loadSheet(journal.Folder(t.folder), journal.SessionFolder+"/"+name, size)
	if err != nil {
		f.Problem = sentence(err)
		if sheet == nil {
			return f
		}
	}
	if len(sheet.Rows) == 0 {
		if err == nil {
			f.Problem = "The trace holds no row yet."
		}
		return f
	}
	sheet.Zero, sheet.Mark = sheet.Rows[0].Time, "start"
	for _, one := range sheet.Trends() {
		f.Pictures = append(f.Pictures, trend{one.Title, template.HTML(one.SVG)})
	}
	return f
}

// loadSheet reads a trace as far as it is good; the error says what is wrong with
// the rest. The sheet is nil where nothing could be read.
func loadSheet(disk journal.Folder, path string, size int64) (*picture.Sheet, trace.Metadata, error) {
	var meta trace.Metadata
	if size > traceMost {
		return nil, meta, fmt.Errorf("%s has %d bytes and is not drawn, allowed are %d", path, size, traceMost)
	}
	data, err := disk.Read(path)
	if err != nil {
		return nil, meta, fmt.Errorf("%s cannot be read: %w", path, fileerror.Cause(err))
	}
	// The last line may be being written just now.
	data = data[:bytes.LastIndexByte(data, '\n')+1]
	sheet := &picture.Sheet{}
	if side, err := disk.Read(trace.SidecarPath(path)); err == nil {
		if known, _, err := trace.ParseMetadata(side, trace.SidecarPath(path)); err == nil {
			meta, sheet.Tick = known, known.Tick
		}
	}
	return sheet, meta, sheet.Load(data, path)
}

// sentence returns an error as one line, cut where it is very long.
func sentence(err error) string {
	const most = 300
	text := []rune(wording.Plain(err.Error()))
	if len(text) > most {
		return string(text[:most]) + "…"
	}
	return string(text)
}
