package onewire

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Root is where Linux shows the devices of its 1-Wire buses.
const Root = "/sys/bus/w1/devices"

// families are the family codes of thermometers that Linux reads (from memory).
var families = []string{"10", "22", "28", "3b", "42"}

// List returns the addresses of all thermometers that Linux has found, under the
// given root, in their order: "28-0123456789ab". It is for bring-up.
func List(root string) ([]string, error) {
	entries, err := os.ReadDir(root)
	if err != nil {
		return nil, fmt.Errorf("there is no 1-Wire bus: folder %q cannot be read, allowed is a board whose 1-Wire bus is switched on", root)
	}
	var found []string
	for _, e := range entries {
		if family, _, ok := strings.Cut(e.Name(), "-"); ok && slices.Contains(families, family) {
			found = append(found, e.Name())
		}
	}
	slices.Sort(found)
	return found, nil
}

// masters returns the folders of the bus masters that a thermometer of ours is
// on.
func masters(root string, probes []Probe) []string {
	all, _ := filepath.Glob(filepath.Join(root, "w1_bus_master*")) // the pattern is good
	return slices.DeleteFunc(all, func(master string) bool {
		return !slices.ContainsFunc(probes, func(p Probe) bool {
			_, err := os.Stat(filepath.Join(master, p.Address))
			return err == nil
		})
	})
}
