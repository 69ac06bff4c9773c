package serial_test

import (
	"bufio"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal/board/modbus"
	"bathtender/hal/board/serial"
)

// outside returns the path of a program that is no part of the project; where it
// is missing the test is skipped, but fails where all of them must be there.
func outside(t *testing.T, missing bool, what string) {
	if !missing {
		return
	}
	if os.Getenv("BATHTENDER_CI") == "1" {
		t.Fatalf("%s is missing, and BATHTENDER_CI=1 says that it must be there", what)
	}
	t.Skipf("%s is missing", what)
}

// number is one that the server has, as it says.
type number struct {
	Table, Form, Order string
	Number             int
	Value              float64
}

// python is the system's: the modules are its packages'.
const python = "/usr/bin/python3"

// An independent Modbus server, its numbers packed by Python's struct module, over
// a pair of pseudo terminals that another program joins.
func TestAgainstAnIndependentServer(t *testing.T) {
	_, err := exec.LookPath("socat")
	outside(t, err != nil, "socat")
	err = exec.Command(python, "-c", "import pymodbus, serial, serial_asyncio").Run()
	outside(t, err != nil, "Python's pymodbus, serial or serial_asyncio")

	folder := t.TempDir()
	ours, theirs := filepath.Join(folder, "ours"), filepath.Join(folder, "theirs")
	start(t, "socat", "pty,raw,echo=0,link="+ours, "pty,raw,echo=0,link="+theirs)
	require.Eventually(t, func() bool {
		_, one := os.Stat(ours)
		_, two := os.Stat(theirs)
		return one == nil && two == nil
	}, time.Minute, time.Millisecond)
	var numbers []number
	said := start(t, python, "testdata/meter_server.py", theirs, "19200", "N")
	for said.Scan() && said.Text() != "ready" {
		var n number
		require.NoError(t, json.Unmarshal(said.Bytes(), &n), "%s", said.Text())
		numbers = append(numbers, n)
	}
	require.Len(t, numbers, 5*4*4+5*4)

	open := func() (modbus.Port, error) {
		return serial.Open(serial.Setting{Path: ours, Baud: 19200, Parity: "none"})
	}
	for len(numbers) > 0 {
		n := min(4, len(numbers))
		compare(t, open, numbers[:n])
		numbers = numbers[n:]
	}
}

// compare reads up to four numbers, each as another quantity.
func compare(t *testing.T, open func() (modbus.Port, error), numbers []number) {
	var registers []modbus.Register
	for i, n := range numbers {
		registers = append(registers, modbus.Register{
			Quantity: modbus.Quantity(i), Number: n.Number, Divide: 1,
			Table: map[string]modbus.Table{"input": modbus.Input, "holding": modbus.Holding}[n.Table],
			Form:  map[string]modbus.Form{"float32": modbus.Float32, "uint16": modbus.Uint16, "int16": modbus.Int16, "uint32": modbus.Uint32, "int32": modbus.Int32}[n.Form],
			Order: map[string]modbus.Order{"ABCD": modbus.ABCD, "CDAB": modbus.CDAB, "BADC": modbus.BADC, "DCBA": modbus.DCBA}[n.Order],
		})
	}
	w := newMeter(t, open, 100*time.Millisecond, registers...)
	w.Start(t.Context())
	values := func() (list []int64, all bool) {
		m := w.Read(w.now())
		list = []int64{int64(m.Watts.Value), int64(m.Volts.Value), int64(m.Amperes.Value), int64(m.Frequency.Value)}
		valid := []bool{m.Watts.Valid, m.Volts.Valid, m.Amperes.Valid, m.Frequency.Valid}
		for _, v := range valid[:len(numbers)] {
			if !v {
				return nil, false
			}
		}
		return list, true
	}
	require.Eventually(t, func() bool { _, all := values(); return all }, time.Minute, time.Millisecond, "%v", w.told)
	require.NoError(t, w.Close())
	got, _ := values()
	for i, n := range numbers {
		parts := 1e9
		if i == int(modbus.Hertz) {
			parts = 1e6
		}
		assert.Equal(t, int64(math.Round(n.Value*parts)), got[i], "%+v", n)
	}
}

// start runs a program until the test ends and returns what it says.
func start(t *testing.T, name string, args ...string) *bufio.Scanner {
	command := exec.Command(name, args...)
	out, err := command.StdoutPipe()
	require.NoError(t, err)
	var trouble strings.Builder
	command.Stderr = &trouble
	require.NoError(t, command.Start())
	t.Cleanup(func() {
		_ = command.Process.Kill()
		_ = command.Wait()
		if t.Failed() {
			t.Logf("%s: %s", name, trouble.String())
		}
	})
	return bufio.NewScanner(out)
}
