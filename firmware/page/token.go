package page

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"net/http"
	"strings"
	"time"
)

const (
	cookieName = "bathtender-watcher"
	// cookieLasts is how long a browser is let in without the token. It also ends
	// with the page's process.
	cookieLasts = 7 * 24 * time.Hour
)

// gate lets in those who know the token.
type gate struct {
	token  string // empty lets everybody in
	cookie string // what a browser gets for the token: drawn anew at each start
}

func newGate(token string) *gate { return &gate{token: token, cookie: rand.Text()} }

// opens reports whether a request is let in; if not, it has been answered. The
// token comes in a header, or once in the address: the browser is then given a
// cookie instead, and sent to the address without it, so that the token stays out
// of its history and of whatever it shows.
func (g *gate) opens(w http.ResponseWriter, r *http.Request) bool {
	if g.token == "" {
		return true
	}
	if sent, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok && same(sent, g.token) {
		return true
	}
	if c, err := r.Cookie(cookieName); err == nil && same(c.Value, g.cookie) {
		return true
	}
	query := r.URL.Query()
	if sent := query.Get("token"); sent != "" && same(sent, g.token) {
		http.SetCookie(w, &http.Cookie{Name: cookieName, Value: g.cookie, Path: "/", MaxAge: int(cookieLasts / time.Second),
			HttpOnly: true, Secure: true, SameSite: http.SameSiteStrictMode})
		query.Del("token")
		// Only a path of this page: what begins with two slashes would lead away.
		to := "/" + strings.TrimLeft(r.URL.EscapedPath(), "/")
		if rest := query.Encode(); rest != "" {
			to += "?" + rest
		}
		http.Redirect(w, r, to, http.StatusSeeOther)
		return false
	}
	w.Header().Set("WWW-Authenticate", `Bearer realm="bathtender"`)
	sorry(w, http.StatusUnauthorized, "this page needs its token: in the header \"Authorization: Bearer TOKEN\", or once in the address as ?token=TOKEN")
	return false
}

// same compares in a time that tells nothing, not even the length.
func same(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return subtle.ConstantTimeCompare(x[:], y[:]) == 1
}
