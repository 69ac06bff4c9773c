package page

import (
	"net"
	"net/http"
	"slices"
	"strings"
	"time"

	"bathtender/hal/quantity"
)

// answerMost is how long an answer may take to be sent; a stream has its own
// deadline for each write.
const answerMost = 30 * time.Second

// policy lets the page have what it brings along and nothing else.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; " +
	"base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// guarded lets only safe requests through to a handler, and gives every answer the
// headers that keep others out of it.
func guarded(names []string, gate *gate, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		// The connection may not know deadlines, in a test; the guard holds without.
		_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(answerMost))
		switch {
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			h.Set("Allow", "GET, HEAD")
			sorry(w, http.StatusMethodNotAllowed, "this page is only watched: the method "+quantity.Quote(r.Method)+" is not allowed, allowed are GET and HEAD")
		case !ours(r.Host, names):
			sorry(w, http.StatusMisdirectedRequest, "the name "+quantity.Quote(r.Host)+
				" is not one of this page; allowed are a numeric address, localhost, and the names of its certificate")
		case gate.opens(w, r):
			next.ServeHTTP(w, r)
		}
	})
}

// ours reports whether a Host header can be meant for this page. A page elsewhere
// that makes its own name point here (DNS rebinding) sends that name; an address in
// digits cannot be made to point anywhere else.
func ours(host string, names []string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	host = strings.ToLower(strings.TrimSuffix(host, "."))
	if host == "localhost" || net.ParseIP(strings.Trim(host, "[]")) != nil {
		return true
	}
	return slices.ContainsFunc(names, func(name string) bool {
		name = strings.ToLower(name)
		if rest, wild := strings.CutPrefix(name, "*."); wild {
			_, after, ok := strings.Cut(host, ".")
			return ok && after == rest
		}
		return host == name
	})
}

// sorry answers with a sentence.
func sorry(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(text + "\n")) // whoever has gone needs no answer
}
