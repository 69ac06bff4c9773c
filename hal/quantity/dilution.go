package quantity

import (
	"fmt"
	"strconv"
	"strings"
)

// dilutionMax is the thinnest dilution that makes sense to write down.
const dilutionMax = 1000

// ParseDilution reads how many parts of water go with one part of concentrate:
// "1:50" is 50.
func ParseDilution(text string) (int64, error) {
	one, parts, ok := strings.Cut(strings.TrimSpace(text), ":")
	n, err := strconv.ParseUint(strings.TrimSpace(parts), 10, 31)
	if !ok || strings.TrimSpace(one) != "1" || err != nil || n < 1 || n > dilutionMax {
		return 0, fmt.Errorf(`dilution %s is not one part of concentrate to whole parts of water, allowed is "1:1" to "1:%d", as in "1:50"`,
			Quote(text), dilutionMax)
	}
	return int64(n), nil
}

// FormatDilution returns the dilution as it is written: "1:50".
func FormatDilution(parts int64) string { return "1:" + strconv.FormatInt(parts, 10) }
