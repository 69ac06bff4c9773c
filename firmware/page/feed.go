package page

import (
	"context"
	"sync"
	"time"

	"bathtender/firmware/status"
)

const (
	// staleAfter is how old a view may be to be shown as current. Two a second come.
	staleAfter = 3 * time.Second
	// callAgain is the time between two calls to a program that does not answer.
	callAgain = time.Second
)

// feed keeps the last view that the program has sent.
type feed struct {
	mutex   sync.Mutex
	view    status.View
	at      time.Time // when it came; zero for never
	started time.Time
	why     string        // why none comes
	news    chan struct{} // closed at the next view
	count   uint64
}

func newFeed() *feed {
	return &feed{started: time.Now(), news: make(chan struct{}), why: "the program has not been asked yet"}
}

// run asks the program for views until the context ends.
func (f *feed) run(ctx context.Context, socket string) {
	for ctx.Err() == nil {
		client, err := status.Dial(socket)
		if err == nil {
			err = client.Watch(ctx, func(v status.View) error {
				f.put(v)
				return nil
			})
			client.Close()
		}
		f.failed(err)
		select {
		case <-ctx.Done():
		case <-time.After(callAgain):
		}
	}
}

func (f *feed) put(v status.View) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	f.view, f.at, f.why = v, time.Now(), ""
	f.count++
	close(f.news)
	f.news = make(chan struct{})
}

func (f *feed) failed(err error) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	f.why = err.Error()
}

// word is what is known of the tank at a moment.
type word struct {
	// view is the zero value where it would be stale.
	view  status.View
	fresh bool
	// silent is how long there has been no word, since the page's start where there
	// was none ever.
	silent time.Duration
	why    string
	count  uint64
}

// now returns what is known, and a channel that is closed when there is more.
func (f *feed) now() (word, <-chan struct{}) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	w := word{why: f.why, count: f.count}
	if f.at.IsZero() {
		w.silent = time.Since(f.started)
		return w, f.news
	}
	if w.silent = time.Since(f.at); w.silent < staleAfter {
		w.view, w.fresh = f.view, true
	}
	return w, f.news
}
