package inside

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bathtender/hal/board/gpiochip"
)

// cabinet is the cabinet's program that is running, and what it has said.
type cabinet struct {
	command *exec.Cmd
	orders  io.Writer
	ended   sync.WaitGroup
	mutex   sync.Mutex
	lines   []string
}

func startCabinet(t *testing.T, args ...string) *cabinet {
	t.Helper()
	c := &cabinet{command: exec.Command("/bin/cabinet", append([]string{"-machine", "/etc/machine.toml"}, args...)...)}
	c.command.Stderr = os.Stderr
	out, err := c.command.StdoutPipe()
	require.NoError(t, err)
	c.orders, err = c.command.StdinPipe()
	require.NoError(t, err)
	require.NoError(t, c.command.Start())
	t.Cleanup(func() { _ = c.command.Process.Kill() })
	c.ended.Go(func() {
		for lines := bufio.NewScanner(out); lines.Scan(); {
			c.mutex.Lock()
			c.lines = append(c.lines, lines.Text())
			c.mutex.Unlock()
		}
	})
	require.Eventually(t, func() bool { return c.find("the cabinet is there") != "" }, time.Minute, 20*time.Millisecond)
	return c
}

// all returns what it has said so far.
func (c *cabinet) all() []string {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return append([]string(nil), c.lines...)
}

// find returns the first line that ends with a text; empty where there is none.
func (c *cabinet) find(text string) string {
	for _, line := range c.all() {
		if strings.HasSuffix(line, text) {
			return line
		}
	}
	return ""
}

// order has something happen at once.
func (c *cabinet) order(t *testing.T, what string) {
	t.Helper()
	_, err := fmt.Fprintln(c.orders, what)
	require.NoError(t, err)
}

// wait waits until the cabinet has ended by itself.
func (c *cabinet) wait(t *testing.T) {
	t.Helper()
	c.ended.Wait()
	require.NoError(t, c.command.Wait())
}

// The cabinet behind the lines, before any supervisor is there: it sees what is driven,
// its fans turn with the speed that they should have, its switches, buttons and
// thermometers are to be read, and its meter tells watts.
func TestTheCabinetAnswers(t *testing.T) {
	needGuest(t)
	c := startCabinet(t, "-bath", "41 degC", "-meter", "/tmp/meter",
		"-at", "16 s after start: end")
	chip, err := gpiochip.Find("cabinet-gpio")
	require.NoError(t, err)
	inputs, err := chip.Inputs([]gpiochip.Line{
		{Signal: "stop loop", Offset: 24, Bias: gpiochip.BiasDown}, {Signal: "float switch", Offset: 25, Bias: gpiochip.BiasDown},
		{Signal: "lid switch", Offset: 26, Bias: gpiochip.BiasDown}, {Signal: "leak sensor", Offset: 27, Bias: gpiochip.BiasDown},
		{Signal: "contactor aux", Offset: 7, Bias: gpiochip.BiasDown}, {Signal: "start button", Offset: 10, Bias: gpiochip.BiasDown},
	}, 0)
	require.NoError(t, err)
	read := func() uint64 {
		levels, err := inputs.Get()
		require.NoError(t, err)
		return levels
	}
	soon := func(want uint64, what string) {
		require.Eventually(t, func() bool { return read() == want }, 30*time.Second, 20*time.Millisecond, what)
	}
	soon(0b001111, "stop loop, float, lid and leak are closed, the contactor is open")

	outputs, err := chip.Outputs([]gpiochip.Line{{Signal: "fans", Offset: 6}, {Signal: "heartbeat", Offset: 12}, {Signal: "contactor", Offset: 5}})
	require.NoError(t, err)
	require.NoError(t, outputs.Set(0b001))
	require.Eventually(t, func() bool { return c.find(" fans on") != "" }, 30*time.Second, 20*time.Millisecond)
	time.Sleep(5 * time.Second) // for the fans to come up to speed

	edges, err := chip.Edges([]gpiochip.Line{{Signal: "fan 1 tach", Offset: 8}, {Signal: "fan 2 tach", Offset: 9}})
	require.NoError(t, err)
	var first, last [2]time.Duration
	var count [2]int
	events := make([]gpiochip.Event, 256)
	for end := time.Now().Add(2 * time.Second); time.Now().Before(end); {
		n, err := edges.Read(events, 50*time.Millisecond)
		require.NoError(t, err)
		for _, e := range events[:n] {
			i := e.Offset - 8
			if count[i] == 0 {
				first[i] = e.At
			}
			count[i]++
			last[i] = e.At
		}
	}
	for i := range count {
		require.Greater(t, count[i], 2)
		rate := float64(count[i]-1) / (last[i] - first[i]).Seconds()
		t.Logf("fan %d: %d pulses, %.1f a second: %.0f rpm", i+1, count[i], rate, rate*30)
		// The machine file says 2600 rpm with 2 pulses a revolution: 86.7 a second.
		require.InDelta(t, 2600*2/60.0, rate, 3)
	}
	c.order(t, "press start")
	soon(0b101111, "the start button is down")
	c.order(t, "release start")
	c.order(t, "lid off")
	soon(0b001011, "the start button is up, the lid is open")

	c.wait(t)
	data, err := os.ReadFile("/sys/bus/w1/devices/28-0000000a0001/temperature")
	_ = data
	require.True(t, err != nil || len(data) == 0, "the thermometer has gone with its cabinet")
	meter, err := os.ReadFile("/tmp/meter")
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(meter)), "\n")
	require.Greater(t, len(lines), 20, "two measurements a second")
	// Standby 6 W, two fans of 4 W each.
	require.Regexp(t, `^2[23]\d\.\d{3} 14\.000$`, lines[len(lines)-1])
	t.Log(strings.Join(c.all(), "; "))
}
