package freeze

import (
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

// Text returns the value that is pointed at as one line of printable ASCII:
// the fingerprint of its type, then its numbers in order, a run of zeros as one
// field "0*COUNT". Floats stand as the bits of their IEEE 754 form. It panics for a type that holds anything but
// numbers, which a test of that type must find.
func Text(pointer any) string {
	value := reflect.ValueOf(pointer).Elem()
	w := writer{text: []byte(shapeOf(value.Type()))}
	walk(value, func(number reflect.Value) error {
		w.add(bitsOf(number))
		return nil
	})
	w.endRun()
	return string(w.text)
}

type writer struct {
	text  []byte
	zeros int
}

func (w *writer) add(bits uint64) {
	if bits == 0 {
		w.zeros++
		return
	}
	w.endRun()
	w.text = strconv.AppendUint(append(w.text, ' '), bits, 16)
}

func (w *writer) endRun() {
	if w.zeros > 0 {
		w.text = strconv.AppendInt(append(w.text, " 0*"...), int64(w.zeros), 10)
		w.zeros = 0
	}
}

// Parse sets the value that is pointed at from a line of Text. Its error says
// what about the line is wrong; the value is then zero.
func Parse(line string, pointer any) error {
	value := reflect.ValueOf(pointer).Elem()
	err := parse(line, value)
	if err != nil {
		value.SetZero()
	}
	return err
}

func parse(line string, value reflect.Value) error {
	fields := strings.Split(line, " ")
	if want := shapeOf(value.Type()); fields[0] != want {
		return fmt.Errorf("the state is of a program of another kind: it has the form %.16q, this program has %q", fields[0], want)
	}
	r := reader{fields: fields[1:]}
	if err := walk(value, r.number); err != nil {
		return err
	}
	if r.zeros > 0 || len(r.fields) > 0 {
		return errors.New("the state has more numbers than it should")
	}
	return nil
}

type reader struct {
	fields []string
	zeros  int
	at     int
}

func (r *reader) number(into reflect.Value) error {
	r.at++
	bits, err := r.next()
	if err != nil {
		return err
	}
	if !setBits(into, bits) {
		return fmt.Errorf("number %d of the state is %x, which %s does not hold", r.at, bits, into.Kind())
	}
	return nil
}

func (r *reader) next() (uint64, error) {
	if r.zeros > 0 {
		r.zeros--
		return 0, nil
	}
	if len(r.fields) == 0 {
		return 0, fmt.Errorf("the state ends after %d numbers", r.at-1)
	}
	field := r.fields[0]
	r.fields = r.fields[1:]
	if run, ok := strings.CutPrefix(field, "0*"); ok {
		n, err := strconv.ParseUint(run, 10, 31)
		if err != nil || n == 0 {
			return 0, fmt.Errorf("field %.20q of the state is no run of zeros", field)
		}
		r.zeros = int(n) - 1
		return 0, nil
	}
	bits, err := strconv.ParseUint(field, 16, 64)
	if err != nil {
		return 0, fmt.Errorf("field %.20q of the state is no number", field)
	}
	return bits, nil
}
