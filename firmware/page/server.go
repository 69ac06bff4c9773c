package page

import (
	"bytes"
	"context"
	"fmt"
	"html/template"
	"io/fs"
	"net"
	"net/http"
	"time"

	"bathtender/hal/quantity"
)

// server answers those who watch.
type server struct {
	config  Config
	feed    *feed
	render  *renderer
	streams chan struct{} // a place for each stream
	reading chan struct{} // taken while the journal is read
	ending  chan struct{} // closed when the page ends
}

func newServer(c Config) *server {
	f := newFeed()
	return &server{config: c, feed: f, render: &renderer{feed: f, trends: &trends{folder: c.Journal}},
		streams: make(chan struct{}, streamsMost), reading: make(chan struct{}, 1), ending: make(chan struct{})}
}

// Serve serves the page until the context ends, and calls ready with the address
// once it can be asked. The error is a sentence.
func Serve(ctx context.Context, c Config, ready func(url string)) error {
	known, err := c.check()
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("the page cannot be served at %s: %w", quantity.Quote(c.Listen), err)
	}
	s := newServer(c)
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	go s.feed.run(ctx, c.Socket)
	web := &http.Server{Handler: guarded(known.names, newGate(known.token), s.routes()), TLSConfig: known.tls,
		ReadHeaderTimeout: 10 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		<-ctx.Done()
		close(s.ending)
		short, done := context.WithTimeout(context.Background(), 3*time.Second)
		defer done()
		if web.Shutdown(short) != nil {
			web.Close()
		}
	}()
	url := "http://" + listener.Addr().String() + "/"
	if known.tls != nil {
		url = "https://" + listener.Addr().String() + "/"
	}
	ready(url)
	if known.tls != nil {
		err = web.ServeTLS(listener, "", "")
	} else {
		err = web.Serve(listener)
	}
	stop()
	<-ended
	if err == http.ErrServerClosed {
		return nil
	}
	return fmt.Errorf("the page at %s has ended: %w", quantity.Quote(c.Listen), err)
}

func (s *server) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("/{$}", s.now)
	mux.HandleFunc("/log", s.log)
	mux.HandleFunc("/record/{record}", s.window)
	mux.HandleFunc("/stream", s.stream)
	mux.HandleFunc("/metrics", s.metrics)
	files, err := fs.Sub(assets, "assets")
	if err != nil {
		panic(err) // not reached: the folder is built in
	}
	for name, kind := range map[string]string{"style.css": "text/css; charset=utf-8", "live.js": "text/javascript; charset=utf-8", "icon.svg": "image/svg+xml"} {
		mux.HandleFunc("/"+name, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Content-Type", kind)
			w.Header().Set("Cache-Control", "no-cache")
			http.ServeFileFS(w, r, files, name)
		})
	}
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		sorry(w, http.StatusNotFound, "there is no page "+quantity.Quote(r.URL.Path)+", allowed are /, /log and /metrics")
	})
	return mux
}

// nowFacts are what the template of the page shows.
type nowFacts struct {
	*facts
	Parts parts
}

// Part returns a part by its name.
func (f nowFacts) Part(name string) template.HTML { return f.Parts[name] }

// now shows what the tank is doing.
func (s *server) now(w http.ResponseWriter, _ *http.Request) {
	done, facts, err := s.render.render()
	if err != nil {
		sorry(w, http.StatusInternalServerError, sentence(err))
		return
	}
	s.show(w, "now.html", nowFacts{facts, done})
}

// show answers with a page.
func (s *server) show(w http.ResponseWriter, name string, data any) {
	var out bytes.Buffer
	if err := templates.ExecuteTemplate(&out, name, data); err != nil {
		sorry(w, http.StatusInternalServerError, "the page cannot be made: "+sentence(err))
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(out.Bytes()) // whoever has gone needs no answer
}
