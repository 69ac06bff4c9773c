package setup

import (
	"errors"
	"time"

	"bathtender/firmware/machine"
	"bathtender/hal/board/modbus"
	"bathtender/hal/board/pulsemeter"
	"bathtender/hal/board/serial"
)

const (
	// answerLeast and answerMost bound how long a Modbus meter may take to answer;
	// in between it is its refresh. Meters answer within some tenths of a second
	// (common practice, no source).
	answerLeast = 300 * time.Millisecond
	answerMost  = time.Second
	// latest is longer than any answer takes, and stands at least reserve over the
	// time-out. The serial line specification has 1 s for a usual time-out (from
	// memory).
	latest  = time.Second
	reserve = 500 * time.Millisecond
)

// Meter returns the meter of a machine. The error says what in the machine file
// is missing for it to be read.
func Meter(m *machine.Machine, s Sampling) (MeterSource, error) {
	if m.Meter.Kind == machine.PulseMeter {
		// As little as the cabinet takes by itself is nothing to speak of.
		quiet := m.Meter.Standby + m.Meter.Resolution
		return source(pulsemeter.New(pulsemeter.Config{Pulses: m.Meter.Pulses, Quiet: quiet, Log: s.Log}))
	}
	if m.Meter.Port == "" {
		return nil, errors.New("[meter] has no port, so the machine can be simulated but not run: allowed is one as in port = \"/dev/ttyUSB0\"")
	}
	if len(m.Meter.Registers) == 0 {
		return nil, errors.New("[meter] has no [[meter.register]], so the machine can be simulated but not run: allowed is one for watts at least")
	}
	timeout := min(max(m.Meter.Refresh, answerLeast), answerMost)
	setting := serial.Setting{Path: m.Meter.Port, Baud: m.Meter.Baud, Parity: m.Meter.Parity}
	return source(modbus.New(modbus.Config{
		Open: func() (modbus.Port, error) {
			port, err := serial.Open(setting)
			if err != nil {
				return nil, err
			}
			return port, nil
		},
		Address: m.Meter.Address, Registers: registers(m.Meter.Registers), Refresh: m.Meter.Refresh,
		Timing: modbus.Timing{Baud: m.Meter.Baud, Timeout: timeout, Lateness: max(latest, timeout+reserve)},
		Clock:  s.Clock, Log: s.Log,
	}))
}

// source returns no source with an error, rather than one that is nil inside.
func source[M MeterSource](meter M, err error) (MeterSource, error) {
	if err != nil {
		return nil, err
	}
	return meter, nil
}

// registers returns the registers of a machine file as the client has them.
func registers(list []machine.Register) []modbus.Register {
	converted := make([]modbus.Register, len(list))
	for i, r := range list {
		converted[i] = modbus.Register{
			Quantity: quantityOf[r.Quantity], Table: tableOf[r.Table], Number: r.Number,
			Form: formOf[r.Form], Order: orderOf[r.Order], Divide: int64(r.Divide),
		}
	}
	return converted
}

// The words of the machine file.
var (
	quantityOf = map[string]modbus.Quantity{"watts": modbus.Watts, "volts": modbus.Volts, "amperes": modbus.Amperes, "hertz": modbus.Hertz}
	tableOf    = map[string]modbus.Table{"input": modbus.Input, "holding": modbus.Holding}
	formOf     = map[string]modbus.Form{"float32": modbus.Float32, "uint16": modbus.Uint16, "int16": modbus.Int16, "uint32": modbus.Uint32, "int32": modbus.Int32}
	orderOf    = map[string]modbus.Order{"ABCD": modbus.ABCD, "CDAB": modbus.CDAB, "BADC": modbus.BADC, "DCBA": modbus.DCBA}
)
