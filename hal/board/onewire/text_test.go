package onewire

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"
)

// What the kernel writes into "temperature": its documentation of the w1_therm
// driver, and read from a real kernel with an emulated bus.
func TestTheKernelsThousandths(t *testing.T) {
	for text, want := range map[string]physic.Temperature{
		"23625\n": milli(23625), "85000\n": milli(85000), "0\n": milli(0), "-500\n": milli(-500),
		"-55000\n": milli(-55000), "125000\n": milli(125000), "62\n": milli(62), "-10125\n": milli(-10125),
	} {
		got, err := parseMilliDegrees([]byte(text))
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for text, want := range map[string]error{
		"": errEmpty, "\n": errText, "-\n": errText, "23625": errText, "2362": errText, "23.625\n": errText,
		"+23625\n": errText, " 23625\n": errText, "23625\n\n": errText, "1e3\n": errText, "--5\n": errText,
		"125001\n": errRange, "-55001\n": errRange, "999999\n": errRange, "1000000\n": errText,
		"99999999999999999999999\n": errText, "0x10\n": errText, "2362\x005\n": errText,
	} {
		_, err := parseMilliDegrees([]byte(text))
		assert.Equal(t, want, err, "%q", text)
	}
}

// The text of "w1_slave" as a real kernel showed it with an emulated bus.
const slaveText = "7a 01 4b 46 7f ff 00 10 a1 : crc=a1 YES\n7a 01 4b 46 7f ff 00 10 a1 t=23625\n"

func TestTheKernelsScratchpad(t *testing.T) {
	got, err := parseSlave([]byte(slaveText))
	require.NoError(t, err)
	assert.Equal(t, milli(23625), got)
	for text, want := range map[string]error{
		"": errEmpty,
		strings.Replace(slaveText, "YES", "NO", 1):                                      errRefused,
		strings.Replace(slaveText, "YES", "MAYBE", 1):                                   errText,
		strings.Replace(slaveText, "7a", "7b", 1):                                       errCRC,
		strings.Replace(slaveText, "7a", "7g", 1):                                       errText,
		strings.Replace(slaveText, " : ", " ", 1):                                       errText,
		"00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0\n":     errHeldLow,
		"ff ff ff ff ff ff ff ff ff : crc=c9 NO\nff ff ff ff ff ff ff ff ff t=85000\n":  errRefused,
		"50 05 ff ff f0 ff ff ff 5c : crc=5c YES\n50 05 ff ff f0 ff ff ff 5c t=85000\n": errNotAsMap,
	} {
		_, err := parseSlave([]byte(text))
		assert.Equal(t, want, err, "%q", text)
	}
	for n := range strings.Index(slaveText, "\n") + 1 {
		_, err := parseSlave([]byte(slaveText[:n]))
		assert.Error(t, err, "cut after %d bytes", n)
	}
}

// Whatever the kernel writes: no panic, and nothing outside of the range of the
// thermometer. What is taken is written the same way again.
func FuzzTheKernelsTexts(f *testing.F) {
	for _, seed := range []string{"23625\n", "-500\n", "", "85000", slaveText, slaveText[:30], "-\n"} {
		f.Add([]byte(seed))
	}
	least, most := milli(-55000), milli(125000)
	f.Fuzz(func(t *testing.T, text []byte) {
		if got, err := parseMilliDegrees(text); err == nil {
			assert.True(t, got >= least && got <= most, "%q", text)
			var again int
			n, err := fmt.Sscanf(string(text), "%d\n", &again)
			assert.True(t, err == nil && n == 1 && milli(float64(again)) == got, "%q", text)
		} else {
			assert.Zero(t, got)
		}
		if got, err := parseSlave(text); err == nil {
			assert.True(t, got >= least && got <= most, "%q", text)
		} else {
			assert.Zero(t, got)
		}
	})
}
