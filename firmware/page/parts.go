package page

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"sync"
)

//go:embed assets
var assets embed.FS

var templates = template.Must(template.ParseFS(assets, "assets/*.html"))

// partNames are the parts of the page that are sent anew when they have changed,
// each a template and the id of an element.
var partNames = []string{"state", "announced", "attention", "readings", "health", "permits", "recent", "trends"}

// parts are the rendered parts, by name.
type parts map[string]template.HTML

// renderer renders the parts once for all who watch.
type renderer struct {
	feed   *feed
	trends *trends

	mutex sync.Mutex
	key   string
	done  parts
	facts *facts
}

// render returns the parts as they are now. Whoever gets them may not change them.
func (r *renderer) render() (parts, *facts, error) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	w, _ := r.feed.now()
	pictures, version := r.trends.get()
	key := fmt.Sprint(w.count, w.fresh, version)
	if !w.fresh {
		key = fmt.Sprint(key, int(w.silent.Seconds()), w.why)
	}
	if r.done != nil && key == r.key {
		return r.done, r.facts, nil
	}
	f := tell(&w)
	done := parts{}
	for _, name := range partNames {
		var data any = f
		if name == "trends" {
			data = pictures
		}
		var out bytes.Buffer
		if err := templates.ExecuteTemplate(&out, name, data); err != nil {
			return nil, nil, fmt.Errorf("the part %q of the page cannot be made: %w", name, err)
		}
		done[name] = template.HTML(out.String())
	}
	r.key, r.done, r.facts = key, done, f
	return done, f, nil
}
