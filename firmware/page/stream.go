package page

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"
)

const (
	// streamsMost is how many may watch at a time.
	streamsMost = 32
	// sendMost is how long one write to a watcher may take: one who has gone to
	// sleep must not hold anything.
	sendMost = 5 * time.Second
	// sendEvery is the longest between two messages, so that the page can tell a
	// quiet tank from a broken line, and sendLeast the shortest.
	sendEvery = time.Second
	sendLeast = 200 * time.Millisecond
)

// stream sends the parts that have changed, as server-sent events (WHATWG HTML,
// 9.2). Each message is a JSON object of parts by name; it may be empty.
func (s *server) stream(w http.ResponseWriter, r *http.Request) {
	select {
	case s.streams <- struct{}{}:
		defer func() { <-s.streams }()
	default:
		sorry(w, http.StatusServiceUnavailable, fmt.Sprintf("%d pages are watching already, allowed are %d", streamsMost, streamsMost))
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.WriteHeader(http.StatusOK)
	if r.Method == http.MethodHead {
		return
	}
	out := http.NewResponseController(w)
	sent := parts{}
	for {
		_, news := s.feed.now()
		now, _, err := s.render.render()
		if err != nil {
			return
		}
		changed := parts{}
		for name, text := range now {
			if old, known := sent[name]; !known || old != text {
				changed[name], sent[name] = text, text
			}
		}
		message, err := json.Marshal(changed)
		if err != nil {
			return
		}
		if err := out.SetWriteDeadline(time.Now().Add(sendMost)); err != nil {
			return
		}
		if _, err := fmt.Fprintf(w, "event: parts\ndata: %s\n\n", message); err != nil {
			return
		}
		if err := out.Flush(); err != nil {
			return
		}
		if !pause(r, s.ending, news) {
			return
		}
	}
}

// pause waits for news, for no longer than sendEvery and no shorter than
// sendLeast. It reports whether to go on.
func pause(r *http.Request, ending <-chan struct{}, news <-chan struct{}) bool {
	least, most := time.NewTimer(sendLeast), time.NewTimer(sendEvery)
	defer least.Stop()
	defer most.Stop()
	select {
	case <-r.Context().Done():
		return false
	case <-ending:
		return false
	case <-least.C:
	}
	select {
	case <-r.Context().Done():
		return false
	case <-ending:
		return false
	case <-news:
	case <-most.C:
	}
	return true
}
