package page

import (
	"context"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bathtender/firmware/status"
	"bathtender/firmware/status/example"
)

// rig is a page that is served, with a program that it watches.
type rig struct {
	program *example.Program
	socket  string
	url     string // without the last slash
}

// newRig serves a page on this machine until the test ends.
func newRig(t *testing.T, v status.View, change func(*Config)) *rig {
	r := &rig{socket: filepath.Join(t.TempDir(), "status.sock")}
	var err error
	r.program, err = example.Listen(r.socket, v)
	require.NoError(t, err)
	t.Cleanup(r.program.Close)
	c := Config{Socket: r.socket, Listen: "127.0.0.1:0"}
	if change != nil {
		change(&c)
	}
	r.url = serve(t, c)
	return r
}

// serve serves a page until the test ends, and returns its address.
func serve(t *testing.T, c Config) string {
	ctx, stop := context.WithCancel(context.Background())
	url, ended := make(chan string, 1), make(chan error, 1)
	go func() { ended <- Serve(ctx, c, func(at string) { url <- at }) }()
	t.Cleanup(func() {
		stop()
		select {
		case err := <-ended:
			require.NoError(t, err)
		case <-time.After(time.Minute):
			t.Error("the page does not end")
		}
	})
	select {
	case at := <-url:
		return strings.TrimSuffix(at, "/")
	case err := <-ended:
		ended <- nil
		t.Fatal(err)
	}
	return ""
}

// get returns the answer to a request, which change may alter.
func get(t *testing.T, url string, change func(*http.Request)) (*http.Response, string) {
	t.Helper()
	request, err := http.NewRequest(http.MethodGet, url, nil)
	require.NoError(t, err)
	if change != nil {
		change(request)
	}
	client := &http.Client{Timeout: time.Minute, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	answer, err := client.Do(request)
	require.NoError(t, err)
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	return answer, string(text)
}

// eventually returns the page at an address once it holds a text.
func eventually(t *testing.T, url, text string) string {
	t.Helper()
	page := ""
	require.Eventually(t, func() bool {
		_, page = get(t, url, nil)
		return strings.Contains(page, text)
	}, time.Minute, 20*time.Millisecond, "%s does not come at %s", text, url)
	return page
}

// needs skips a test whose program is missing; on CI it fails. With -short it is skipped
// in any case: the whole run has it.
func needs(t *testing.T, program, from string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("other programs take too long for -short")
	}
	path, err := exec.LookPath(program)
	if err == nil {
		return path
	}
	if os.Getenv("BATHTENDER_CI") == "1" {
		t.Fatalf("%s is missing: install the package %s", program, from)
	}
	t.Skipf("%s is missing (package %s)", program, from)
	return ""
}

// tryGet returns what stands at an address of another program, if it answers.
func tryGet(url string) (string, bool) {
	answer, err := (&http.Client{Timeout: 10 * time.Second}).Get(url)
	if err != nil {
		return "", false
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	return string(text), err == nil && answer.StatusCode == http.StatusOK
}
