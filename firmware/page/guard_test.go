package page

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/status/example"
)

const token = "made-up-token-of-the-tests-0123456789"

func fileWith(t *testing.T, text string, mode os.FileMode) string {
	path := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	require.NoError(t, os.Chmod(path, mode))
	return path
}

// certificate writes a certificate for tank.example with its key.
func certificate(t *testing.T) (cert, key string, pool *x509.CertPool) {
	pair, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	about := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "tank.example"}, NotBefore: time.Now().Add(-time.Hour),
		NotAfter: time.Now().Add(time.Hour), DNSNames: []string{"tank.example", "*.workshop.example"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign}
	der, err := x509.CreateCertificate(rand.Reader, about, about, &pair.PublicKey, pair)
	require.NoError(t, err)
	private, err := x509.MarshalPKCS8PrivateKey(pair)
	require.NoError(t, err)
	leaf, err := x509.ParseCertificate(der)
	require.NoError(t, err)
	pool = x509.NewCertPool()
	pool.AddCert(leaf)
	return fileWith(t, string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})), 0o600),
		fileWith(t, string(pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: private})), 0o600), pool
}

func TestOtherMachinesNeedATokenAndTLS(t *testing.T) {
	cert, key, _ := certificate(t)
	good := fileWith(t, token+"\n", 0o640)
	const open = "is open to other machines, allowed without -token-file, -cert and -key is only this machine"
	for _, c := range []struct {
		config Config
		want   string // empty for allowed
	}{
		{Config{Listen: "127.0.0.1:8480"}, ""},
		{Config{Listen: "127.0.0.9:0"}, ""},
		{Config{Listen: "[::1]:8480"}, ""},
		{Config{Listen: "localhost:8480"}, ""},
		{Config{Listen: "127.0.0.1:8480", TokenFile: good}, ""},
		{Config{Listen: "0.0.0.0:8480", TokenFile: good, Cert: cert, Key: key}, ""},
		{Config{Listen: "0.0.0.0:8480"}, open},
		{Config{Listen: "[::]:8480"}, open},
		{Config{Listen: "192.0.2.7:8480"}, open},
		{Config{Listen: "[::ffff:192.0.2.7]:8480"}, open},
		{Config{Listen: "0.0.0.0:8480", TokenFile: good}, open},
		{Config{Listen: "0.0.0.0:8480", Cert: cert, Key: key}, open},
		{Config{Listen: "0.0.0.0:8480", TokenFile: good, Cert: cert}, "of -cert and -key only one is given, allowed are both or none"},
		{Config{Listen: ":8480"}, `listen ":8480" is no numeric address, allowed is one as in 127.0.0.1:8480`},
		{Config{Listen: "tank.example:8480"}, "is no numeric address"},
		{Config{Listen: "8480"}, `listen "8480" is no address with a port`},
		{Config{Listen: "127.0.0.1:99999"}, "is no address with a port"},
		{Config{Listen: "127.0.0.1:http"}, "is no address with a port"},
		{Config{Listen: ""}, `listen "" is no address with a port`},
		{Config{Listen: "127.0.0.1:1", TokenFile: filepath.Join(t.TempDir(), "none")}, "cannot be read: no such file or directory"},
		{Config{Listen: "127.0.0.1:1", TokenFile: fileWith(t, token, 0o644)}, "can be read or changed by everybody (mode 0644), allowed are modes such as 0600 and 0640"},
		{Config{Listen: "127.0.0.1:1", TokenFile: fileWith(t, "short", 0o600)}, "has 5 letters, allowed are 20 to 200"},
		{Config{Listen: "127.0.0.1:1", TokenFile: fileWith(t, "", 0o600)}, "has 0 letters, allowed are 20 to 200"},
		{Config{Listen: "127.0.0.1:1", TokenFile: fileWith(t, strings.Repeat("x", 201), 0o600)}, "has 201 letters, allowed are 20 to 200"},
		{Config{Listen: "127.0.0.1:1", TokenFile: fileWith(t, strings.Repeat("x", 900), 0o600)}, "has 900 bytes"},
		{Config{Listen: "127.0.0.1:1", TokenFile: fileWith(t, "two words of a token here", 0o600)}, "has a letter that is not allowed"},
		{Config{Listen: "0.0.0.0:8480", TokenFile: good, Cert: key, Key: cert}, "cannot be used: "},
		{Config{Listen: "0.0.0.0:8480", TokenFile: good, Cert: cert, Key: "/none"}, "cannot be used: no such file or directory"},
	} {
		_, err := c.config.check()
		if c.want == "" {
			assert.NoError(t, err, c.config.Listen)
			continue
		}
		if assert.Error(t, err, c.config.Listen) {
			assert.Contains(t, err.Error(), c.want)
			assert.NotContains(t, err.Error(), token)
		}
	}
}

// The headers, against what the OWASP HTTP headers cheat sheet asks of a page
// without foreign parts (from memory).
func TestEveryAnswerKeepsOthersOut(t *testing.T) {
	r := newRig(t, example.Idle(), nil)
	for _, path := range []string{"/", "/log", "/metrics", "/style.css", "/live.js", "/icon.svg", "/none", "/record/1.svg", "/log?before=x"} {
		answer, _ := get(t, r.url+path, nil)
		h := answer.Header
		assert.Contains(t, h.Get("Content-Security-Policy"), "default-src 'none'", path)
		assert.Contains(t, h.Get("Content-Security-Policy"), "frame-ancestors 'none'", path)
		assert.NotContains(t, h.Get("Content-Security-Policy"), "unsafe", path)
		assert.NotContains(t, h.Get("Content-Security-Policy"), "*", path)
		assert.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), path)
		assert.Equal(t, "no-referrer", h.Get("Referrer-Policy"), path)
		assert.NotEmpty(t, h.Get("Content-Type"), path)
		assert.Empty(t, h.Get("Access-Control-Allow-Origin"), path)
		if !strings.Contains(path, ".") || strings.HasPrefix(path, "/record") {
			assert.Equal(t, "no-store", h.Get("Cache-Control"), path)
		}
	}
}

func TestOnlyGetAndHead(t *testing.T) {
	r := newRig(t, example.Idle(), nil)
	for _, method := range []string{"POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "RESET"} {
		for _, path := range []string{"/", "/stream", "/metrics", "/log"} {
			answer, text := get(t, r.url+path, func(r *http.Request) { r.Method = method })
			assert.Equal(t, http.StatusMethodNotAllowed, answer.StatusCode, method)
			assert.Equal(t, "GET, HEAD", answer.Header.Get("Allow"))
			assert.Contains(t, text, "is not allowed, allowed are GET and HEAD")
		}
	}
	for _, path := range []string{"/", "/stream", "/metrics", "/log"} {
		answer, text := get(t, r.url+path, func(r *http.Request) { r.Method = http.MethodHead })
		assert.Equal(t, http.StatusOK, answer.StatusCode, path)
		assert.Empty(t, text)
	}
}

// DNS rebinding: a page elsewhere lets its own name point here, and the browser
// sends that name.
func TestANameThatIsNotOursIsRefused(t *testing.T) {
	r := newRig(t, example.Idle(), nil)
	for host, status := range map[string]int{
		"127.0.0.1:8480": 200, "localhost": 200, "LOCALHOST:1": 200, "[::1]:8480": 200, "192.0.2.7": 200,
		"evil.example": 421, "evil.example:8480": 421, "localhost.evil.example": 421, "127.0.0.1.evil.example": 421, "tank.example": 421,
	} {
		answer, text := get(t, r.url+"/", func(r *http.Request) { r.Host = host })
		assert.Equal(t, status, answer.StatusCode, host)
		if status != 200 {
			assert.NotContains(t, text, "slide tank")
		}
	}
	names := []string{"tank.example", "*.workshop.example"}
	for host, want := range map[string]bool{"tank.example": true, "Tank.Example.:8480": true, "a.workshop.example": true,
		"workshop.example": false, "a.b.workshop.example": false, "nottank.example": false, "": false} {
		assert.Equal(t, want, ours(host, names), host)
	}
}

func TestTheTokenOpensThePage(t *testing.T) {
	cert, key, pool := certificate(t)
	r := newRig(t, example.Idle(), func(c *Config) { c.TokenFile, c.Cert, c.Key = fileWith(t, token+"\n", 0o600), cert, key })
	require.True(t, strings.HasPrefix(r.url, "https://"))
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}
	defer transport.CloseIdleConnections()
	browser := &http.Client{Transport: transport, Jar: jar, Timeout: time.Minute, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	ask := func(path, authorization string) (*http.Response, string) {
		request, err := http.NewRequest(http.MethodGet, r.url+path, nil)
		require.NoError(t, err)
		if authorization != "" {
			request.Header.Set("Authorization", authorization)
		}
		answer, err := browser.Do(request)
		require.NoError(t, err)
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		require.NoError(t, err)
		return answer, string(text)
	}
	for _, path := range []string{"/", "/log", "/metrics", "/stream", "/style.css", "/?token=", "/?token=wrong", "/?token=" + token[:len(token)-1], "/?token=" + token + "x", "/?token=" + token[:len(token)-1] + "X"} {
		answer, text := ask(path, "")
		assert.Equal(t, http.StatusUnauthorized, answer.StatusCode, path)
		assert.Contains(t, text, "this page needs its token")
		assert.Empty(t, answer.Cookies())
	}
	for _, wrong := range []string{"Bearer", "Bearer ", "Bearer wrong", "Bearer X" + token[1:], "Basic " + token, token, "bearer" + token} {
		answer, _ := ask("/metrics", wrong)
		assert.Equal(t, http.StatusUnauthorized, answer.StatusCode, wrong)
	}
	answer, _ := ask("/metrics", "Bearer "+token)
	assert.Equal(t, http.StatusOK, answer.StatusCode)
	assert.Empty(t, answer.Cookies())
	answer, _ = ask("/log?before=5&token="+token, "")
	assert.Equal(t, http.StatusSeeOther, answer.StatusCode)
	assert.Equal(t, "/log?before=5", answer.Header.Get("Location"), "the token must leave the address")
	require.Len(t, answer.Cookies(), 1)
	cookie := answer.Cookies()[0]
	assert.True(t, cookie.HttpOnly && cookie.Secure)
	assert.Equal(t, http.SameSiteStrictMode, cookie.SameSite)
	assert.NotContains(t, cookie.Value, token)
	answer, _ = ask("/", "")
	assert.Equal(t, http.StatusOK, answer.StatusCode, "the cookie opens it from now on")
	browser.Jar, _ = cookiejar.New(nil)
	answer, _ = ask("//evil.example/%2e%2e?token="+token, "")
	assert.False(t, strings.HasPrefix(answer.Header.Get("Location"), "//"), "it must not lead away: %s", answer.Header.Get("Location"))
}
