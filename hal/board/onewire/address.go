package onewire

import (
	"fmt"
	"regexp"
	"strconv"

	"periph.io/x/conn/v3/onewire"
)

// familyOfWire is the family of thermometers whose scratchpad is read here.
const familyOfWire = 0x28

var written = regexp.MustCompile(`^[0-9a-f]{2}-[0-9a-f]{12}$`)

// parseAddress returns an address as it goes over the wire: family code, six
// bytes of number, lowest first, and the checksum over these seven, which Linux
// does not write.
func parseAddress(text string) (onewire.Address, error) {
	if !written.MatchString(text) {
		return 0, fmt.Errorf("address %q is not that of a 1-Wire device, allowed is as in %q", text, "28-0123456789ab")
	}
	family, _ := strconv.ParseUint(text[:2], 16, 8) // the pattern has seen to it
	number, _ := strconv.ParseUint(text[3:], 16, 48)
	address := family | number<<8
	var bytes [7]byte
	for i := range bytes {
		bytes[i] = byte(address >> (8 * i))
	}
	return onewire.Address(address | uint64(CRC8(bytes[:]))<<56), nil
}

func formatAddress(a onewire.Address) string {
	return fmt.Sprintf("%02x-%012x", byte(a), uint64(a)>>8&(1<<48-1))
}

// Search returns the addresses of the thermometers that a bus finds and that
// Wire can read, as List does. It is for bring-up.
func Search(bus onewire.Bus) ([]string, error) {
	all, err := bus.Search(false)
	if err != nil {
		return nil, fmt.Errorf("1-Wire bus %s: its devices cannot be found: %w", bus, err)
	}
	var found []string
	for _, a := range all {
		if byte(a) == familyOfWire {
			found = append(found, formatAddress(a))
		}
	}
	return found, nil
}
