package freeze

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"reflect"
	"unsafe"
)

// walk calls do with every number in a value, in the order of their
// declaration, fields that are not exported among them.
func walk(value reflect.Value, do func(reflect.Value) error) error {
	switch value.Kind() {
	case reflect.Struct:
		for i := range value.NumField() {
			if err := walk(open(value.Field(i)), do); err != nil {
				return err
			}
		}
		return nil
	case reflect.Array:
		for i := range value.Len() {
			if err := walk(value.Index(i), do); err != nil {
				return err
			}
		}
		return nil
	default:
		return do(value)
	}
}

// open returns a field so that it can be set whether it is exported or not.
// The value is addressable, since it is reached through a pointer.
func open(field reflect.Value) reflect.Value {
	return reflect.NewAt(field.Type(), unsafe.Pointer(field.UnsafeAddr())).Elem()
}

func bitsOf(number reflect.Value) uint64 {
	switch {
	case number.Kind() == reflect.Bool:
		if number.Bool() {
			return 1
		}
		return 0
	case number.CanInt():
		return uint64(number.Int())
	case number.CanUint():
		return number.Uint()
	default:
		return math.Float64bits(number.Float())
	}
}

// setBits sets a number, and reports whether it holds just these bits.
func setBits(number reflect.Value, bits uint64) bool {
	switch {
	case number.Kind() == reflect.Bool:
		number.SetBool(bits == 1)
		return bits <= 1
	case number.CanInt():
		number.SetInt(int64(bits))
		return uint64(number.Int()) == bits
	case number.CanUint():
		number.SetUint(bits)
		return number.Uint() == bits
	default:
		number.SetFloat(math.Float64frombits(bits))
		return true
	}
}

// shapeOf returns a fingerprint of a type: the names and kinds of all its
// numbers.
func shapeOf(of reflect.Type) string {
	sum := sha256.Sum256(appendShape(nil, of))
	return hex.EncodeToString(sum[:8])
}

func appendShape(text []byte, of reflect.Type) []byte {
	switch of.Kind() {
	case reflect.Struct:
		text = append(text, '{')
		for i := range of.NumField() {
			text = append(append(text, of.Field(i).Name...), ' ')
			text = append(appendShape(text, of.Field(i).Type), ';')
		}
		return append(text, '}')
	case reflect.Array:
		return appendShape(fmt.Appendf(text, "%d*", of.Len()), of.Elem())
	case reflect.Bool, reflect.Float64, reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64,
		reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return append(text, of.Kind().String()...)
	default:
		panic(fmt.Sprintf("freeze: %s is no plain number", of))
	}
}
