package page

import (
	"context"
	"encoding/json"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/status/example"
)

// manyTanks is the page whose blocks are run here.
const manyTanks = "../../docs/many-tanks.md"

// monitorFiles writes the blocks of the page into a folder, with changes.
func monitorFiles(t *testing.T, changes ...string) string {
	text, err := os.ReadFile(manyTanks)
	require.NoError(t, err)
	folder := t.TempDir()
	blocks := regexp.MustCompile("(?ms)^```yaml (\\S+)\n(.*?)^```$").FindAllStringSubmatch(string(text), -1)
	require.Len(t, blocks, 2)
	for _, b := range blocks {
		content := strings.NewReplacer(changes...).Replace(b[2])
		require.NoError(t, os.WriteFile(filepath.Join(folder, b[1]), []byte(content), 0o600))
	}
	return folder
}

func TestTheMonitorsFilesAreValid(t *testing.T) {
	tool := needs(t, "promtool", "prometheus")
	folder := monitorFiles(t, "/etc/prometheus/tank-token", fileWith(t, token, 0o600), "/etc/prometheus/workshop-ca.pem", fileWith(t, "", 0o600))
	for _, args := range [][]string{{"check", "config", "prometheus.yml"}, {"check", "rules", "tanks.yml"}} {
		run := exec.Command(tool, args...)
		run.Dir = folder
		out, err := run.CombinedOutput()
		assert.NoError(t, err, "%s", out)
		assert.Contains(t, string(out), "SUCCESS: 8 rules found")
	}
}

// Every metric that the rules and the table name must be there, and the table must
// name every one.
func TestThePageNamesTheMetricsThatThereAre(t *testing.T) {
	text, err := os.ReadFile(manyTanks)
	require.NoError(t, err)
	exposed := openMetrics(&word{view: example.Tripped(), fresh: true})
	there := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^(bathtender\w*?)(?:_bucket)?(?:\{.*\})? `).FindAllStringSubmatch(exposed, -1) {
		there[m[1]] = true
	}
	named := map[string]bool{}
	for _, name := range regexp.MustCompile(`\bbathtender_\w+`).FindAllString(string(text), -1) {
		named[name] = true
	}
	assert.Equal(t, there, named)
}

// monitor is the server of the package prometheus, with the files of the page.
type monitor struct{ url string }

func startMonitor(t *testing.T, folder string) *monitor {
	path := needs(t, "prometheus", "prometheus")
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	address := listener.Addr().String()
	require.NoError(t, listener.Close())
	ctx, stop := context.WithCancel(context.Background())
	run := exec.CommandContext(ctx, path, "--config.file=prometheus.yml", "--storage.tsdb.path="+t.TempDir(), "--web.listen-address="+address, "--log.level=error")
	run.Dir = folder
	var said strings.Builder
	run.Stderr = &said
	run.Cancel = func() error { return run.Process.Signal(os.Interrupt) }
	run.WaitDelay = time.Minute
	require.NoError(t, run.Start())
	t.Cleanup(func() {
		stop()
		_ = run.Wait() // it was told to end
		if t.Failed() {
			t.Log(said.String())
		}
	})
	return &monitor{"http://" + address}
}

// alerts returns what fires, as "alert tank", and whether the monitor has answered.
func (m *monitor) alerts() (map[string]string, bool) {
	var answer struct {
		Data struct {
			Alerts []struct {
				State               string
				Labels, Annotations map[string]string
			}
		}
	}
	text, ok := tryGet(m.url + "/api/v1/alerts")
	if !ok || json.Unmarshal([]byte(text), &answer) != nil {
		return nil, false
	}
	firing := map[string]string{}
	for _, a := range answer.Data.Alerts {
		if a.State == "firing" {
			firing[a.Labels["alertname"]+" "+a.Labels["tank"]] = a.Annotations["summary"]
		}
	}
	return firing, true
}

// Two pages with token and TLS are asked by the server with the files of the page;
// one tank trips, and its alert, and no other, is told.
func TestATripIsToldByTheMonitor(t *testing.T) {
	needs(t, "prometheus", "prometheus")
	cert, key, _ := certificate(t)
	tokenFile := fileWith(t, token, 0o600)
	open := func(c *Config) { c.TokenFile, c.Cert, c.Key = tokenFile, cert, key }
	slides, valves := newRig(t, example.Clean(), open), newRig(t, example.Idle(), open)
	m := startMonitor(t, monitorFiles(t,
		"slide-tank.workshop.example:8480", strings.TrimPrefix(slides.url, "https://"),
		"small-tank.workshop.example:8480", strings.TrimPrefix(valves.url, "https://"),
		"/etc/prometheus/tank-token", tokenFile, "/etc/prometheus/workshop-ca.pem", cert,
		"15s", "1s", "2m", "10s", "[1h]", "[1h]", "1h", "0s")) // a test is in more of a hurry
	both := func() bool {
		text, ok := tryGet(m.url + "/api/v1/query?query=sum(bathtender_up)")
		return ok && strings.Contains(text, `,"2"]`)
	}
	require.Eventually(t, both, 2*time.Minute, 200*time.Millisecond, "the monitor does not see both tanks")
	trip := func() (map[string]string, bool) {
		firing, ok := m.alerts()
		delete(firing, "CareDue slides") // the example has something due
		delete(firing, "BankWearsOut slides")
		delete(firing, "BankOutOfService slides")
		return firing, ok
	}
	require.Eventually(t, func() bool { firing, ok := trip(); return ok && len(firing) == 0 }, 2*time.Minute, 200*time.Millisecond, "an alert without a cause")
	slides.program.Show(example.Tripped())
	var told map[string]string
	require.Eventually(t, func() bool { told, _ = trip(); return len(told) > 0 }, 2*time.Minute, 200*time.Millisecond, "no alert comes")
	assert.Equal(t, map[string]string{"Trip slides": "slides: airflow lost fan 2 has tripped and waits for a reset at the tank"}, told)
	valves.program.Close()
	require.Eventually(t, func() bool { firing, _ := trip(); return firing["NoWordFromTank valves"] != "" }, 2*time.Minute, 200*time.Millisecond, "silence is not told")
}
