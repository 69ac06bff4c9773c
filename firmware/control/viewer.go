package control

import (
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"bathtender/firmware/status"
)

// Viewer makes views for many clients from one builder, a few times a second at
// most however many ask.
type Viewer struct {
	mutex sync.Mutex
	build func() status.View
	line  []byte
	made  time.Time
}

// viewAge is how old a view may be that is given to another client.
const viewAge = 100 * time.Millisecond

// NewViewer returns a viewer.
func NewViewer(build func() status.View) *Viewer { return &Viewer{build: build} }

// Line returns a view as a line of JSON; it may be a tenth of a second old.
func (v *Viewer) Line() ([]byte, error) {
	v.mutex.Lock()
	defer v.mutex.Unlock()
	if v.line != nil && time.Since(v.made) < viewAge {
		return v.line, nil
	}
	return v.make()
}

// Now returns a view of this moment.
func (v *Viewer) Now() status.View {
	v.mutex.Lock()
	defer v.mutex.Unlock()
	return v.build()
}

func (v *Viewer) make() ([]byte, error) {
	line, err := json.Marshal(v.build())
	if err != nil {
		return nil, fmt.Errorf("what there is to see cannot be told: %w", err)
	}
	v.line, v.made = append(line, '\n'), time.Now()
	return v.line, nil
}
