package page

import (
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"net"
	"os"
	"strconv"
	"strings"

	"bathtender/firmware/fileerror"
	"bathtender/hal/quantity"
)

// Config is what the page is told at its start.
type Config struct {
	Socket  string // of the running program
	Journal string // folder, empty for none
	Listen  string // address and port
	// TokenFile holds what a watcher must show; empty for none.
	TokenFile string
	// Cert and Key are files for TLS, both or none.
	Cert, Key string
}

// tokenLeast and tokenMost are how many letters a token has.
const (
	tokenLeast = 20
	tokenMost  = 200
)

// checked is a configuration that can be served.
type checked struct {
	token string
	tls   *tls.Config // nil without TLS
	names []string    // that the certificate is for
}

// check reads the files that a configuration names. Beyond the machine itself
// nothing is served without a token and TLS: the error says so.
func (c *Config) check() (*checked, error) {
	out := &checked{}
	host, port, err := net.SplitHostPort(c.Listen)
	if n, bad := strconv.ParseUint(port, 10, 16); err != nil || bad != nil || n == 0 && port != "0" {
		return nil, fmt.Errorf("listen %s is no address with a port, allowed is one as in 127.0.0.1:8480", quantity.Quote(c.Listen))
	}
	ip := net.ParseIP(host)
	switch {
	case ip == nil && host != "localhost":
		return nil, fmt.Errorf("listen %s is no numeric address, allowed is one as in 127.0.0.1:8480 or [::1]:8480", quantity.Quote(c.Listen))
	case (c.Cert == "") != (c.Key == ""):
		return nil, fmt.Errorf("of -cert and -key only one is given, allowed are both or none")
	case host != "localhost" && !ip.IsLoopback() && (c.TokenFile == "" || c.Cert == ""):
		return nil, fmt.Errorf("listen %s is open to other machines, allowed without -token-file, -cert and -key is only this machine, as in 127.0.0.1:8480",
			quantity.Quote(c.Listen))
	}
	if c.TokenFile != "" {
		if out.token, err = readToken(c.TokenFile); err != nil {
			return nil, err
		}
	}
	if c.Cert != "" {
		pair, err := tls.LoadX509KeyPair(c.Cert, c.Key)
		if err != nil {
			return nil, fmt.Errorf("the certificate %s with the key %s cannot be used: %w", quantity.Quote(c.Cert), quantity.Quote(c.Key), fileerror.Cause(err))
		}
		out.tls = &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12}
		if leaf, err := x509.ParseCertificate(pair.Certificate[0]); err == nil {
			out.names = leaf.DNSNames
		}
	}
	return out, nil
}

// readToken reads the one line of a token file, which nobody but its owner and his
// group may read.
func readToken(name string) (string, error) {
	info, err := os.Stat(name)
	if err != nil {
		return "", fmt.Errorf("the token file %s cannot be read: %w", quantity.Quote(name), fileerror.Cause(err))
	}
	if info.Mode().Perm()&0o007 != 0 {
		return "", fmt.Errorf("the token file %s can be read or changed by everybody (mode %04o), allowed are modes such as 0600 and 0640",
			quantity.Quote(name), info.Mode().Perm())
	}
	if info.Size() > 4*tokenMost {
		return "", fmt.Errorf("the token file %s has %d bytes, allowed is one line of %d to %d letters", quantity.Quote(name), info.Size(), tokenLeast, tokenMost)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return "", fmt.Errorf("the token file %s cannot be read: %w", quantity.Quote(name), fileerror.Cause(err))
	}
	token := strings.TrimSpace(string(data))
	if len(token) < tokenLeast || len(token) > tokenMost {
		return "", fmt.Errorf("the token in %s has %d letters, allowed are %d to %d", quantity.Quote(name), len(token), tokenLeast, tokenMost)
	}
	for _, c := range []byte(token) {
		if c <= ' ' || c > '~' || c == '"' || c == ',' || c == ';' || c == '\\' {
			return "", fmt.Errorf("the token in %s has a letter that is not allowed; allowed are letters, digits and signs of ASCII but for quotes, commas, semicolons and backslashes",
				quantity.Quote(name))
		}
	}
	return token, nil
}
