package inside

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bathtender/sim/guest/probes"
)

// The kernel's own driver of 1-Wire thermometers finds ours on a bus that is plugged in,
// and makes of their registers what the part's data sheet prints beside them (table 1,
// temperature/data relationship, from memory).
func TestTheKernelReadsTheThermometers(t *testing.T) {
	needGuest(t)
	addresses := []string{"28-0000000a0001", "28-0000000b0002", "28-0123456789ab"}
	bus, err := probes.PlugIn(addresses...)
	require.NoError(t, err)
	defer func() { require.NoError(t, bus.Unplug()) }()
	for i := range addresses {
		bus.Show(i, 0, true, false)
	}
	root := "/sys/bus/w1/devices"
	for _, a := range addresses {
		require.Eventually(t, func() bool {
			_, err := os.Stat(filepath.Join(root, a, "temperature"))
			return err == nil
		}, 60*time.Second, 50*time.Millisecond, "the kernel has not found %s", a)
	}
	read := func(i int) string {
		data, err := os.ReadFile(filepath.Join(root, addresses[i], "temperature"))
		require.NoError(t, err)
		return strings.TrimSpace(string(data))
	}
	for _, row := range []struct {
		register     uint16
		milliDegrees int
	}{
		{0x07d0, 125000}, {0x0191, 25062}, {0x00a2, 10125}, {0x0008, 500},
		{0x0000, 0}, {0xfff8, -500}, {0xff5e, -10125}, {0xfe6f, -25062}, {0xfc90, -55000},
	} {
		bus.Show(1, int16(row.register), true, false)
		require.Equal(t, fmt.Sprint(row.milliDegrees), read(1), "register %04xh", row.register)
	}
	begin := time.Now()
	require.Equal(t, "0", read(0))
	t.Logf("one reading of 12 bits takes %v", time.Since(begin).Round(time.Millisecond))

	// What goes wrong reads as nothing, or as the power-on value: never as another
	// temperature.
	bus.Show(0, 400, true, true)
	require.Equal(t, "85000", read(0))
	bus.Show(0, 400, false, false)
	require.Empty(t, read(0))
	bus.Short(true)
	require.Empty(t, read(1))
	bus.Short(false)
	bus.Show(0, 400, true, false)
	require.Equal(t, "25000", read(0))
}
