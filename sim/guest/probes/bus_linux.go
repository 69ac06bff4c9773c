package probes

import (
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"golang.org/x/sys/unix"
)

// Bus is a 1-Wire bus that is plugged in.
type Bus struct {
	conn    net.Conn
	mutex   sync.Mutex
	adapter adapter
	ended   sync.WaitGroup
}

// controller is the kernel's USB bus that is a socket.
const controller = "/sys/devices/platform/vhci_hcd.0"

// PlugIn plugs a bus into the machine, with thermometers of the given addresses as the
// kernel writes them: "28-0000000a0001". None of them is there until Show says so.
func PlugIn(addresses ...string) (*Bus, error) {
	b := &Bus{}
	for _, a := range addresses {
		serial, err := strconv.ParseUint(strings.TrimPrefix(a, "28-"), 16, 48)
		if err != nil {
			return nil, fmt.Errorf("%q is not the address of a 1-Wire thermometer: %w", a, err)
		}
		b.adapter.bridge.bus = append(b.adapter.bridge.bus, newThermometer(serial))
	}
	if err := b.attach(); err != nil {
		return nil, fmt.Errorf("the USB adapter cannot be plugged in: %w", err)
	}
	return b, nil
}

// attach gives the kernel one end of a connection, behind which is the adapter, and
// tells it that the bridge is on the adapter's bus.
func (b *Bus) attach() error {
	ends, err := unix.Socketpair(unix.AF_UNIX, unix.SOCK_STREAM|unix.SOCK_CLOEXEC, 0)
	if err != nil {
		return err
	}
	ours := os.NewFile(uintptr(ends[0]), "adapter")
	b.conn, err = net.FileConn(ours)
	ours.Close()
	if err != nil {
		return errors.Join(err, unix.Close(ends[1]))
	}
	b.ended.Go(func() { _ = serve(b.conn, b.control) })
	before, _ := filepath.Glob("/sys/bus/i2c/devices/i2c-*")
	// Port 0, the device's number on a bus of the other side, full speed.
	err = os.WriteFile(filepath.Join(controller, "attach"), fmt.Appendf(nil, "0 %d %d 2", ends[1], 1<<16|2), 0)
	err = errors.Join(err, unix.Close(ends[1])) // the kernel has its own
	if err == nil {
		err = addBridge(before)
	}
	if err != nil {
		return errors.Join(err, b.Unplug())
	}
	return nil
}

// addBridge waits for a new I2C bus and tells the kernel of the bridge on it: an I2C bus
// does not tell what is connected to it.
func addBridge(before []string) error {
	const patience = 20 * time.Second
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		now, _ := filepath.Glob("/sys/bus/i2c/devices/i2c-*")
		for _, bus := range now {
			if !slices.Contains(before, bus) {
				return os.WriteFile(filepath.Join(bus, "new_device"), fmt.Appendf(nil, "ds2482 %#x", bridgeAddress), 0)
			}
		}
	}
	return fmt.Errorf("no I2C bus has come within %v", patience)
}

func (b *Bus) control(s setup, out []byte) ([]byte, bool) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	return b.adapter.control(s, out)
}

// Show sets what a thermometer, by its place in PlugIn, measures from now on, in
// sixteenths of a degree Celsius, and whether it is there. One that restarts loses its
// conversions: it shows 85 degC.
func (b *Bus) Show(place int, sixteenths int16, present, restarts bool) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	t := b.adapter.bridge.bus[place]
	t.raw, t.present, t.restarts = sixteenths, present, restarts
}

// Short holds the bus down, or lets it go.
func (b *Bus) Short(short bool) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	b.adapter.bridge.shorted = short
}

// Unplug pulls the adapter.
func (b *Bus) Unplug() error {
	err := b.conn.Close()
	b.ended.Wait()
	return err
}
