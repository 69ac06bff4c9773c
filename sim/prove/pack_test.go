package prove

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// numbers calls each with every number and truth of a value, arrays and all.
func numbers(v reflect.Value, each func(reflect.Value)) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			numbers(v.Field(i), each)
		}
	case reflect.Array:
		for i := range v.Len() {
			numbers(v.Index(i), each)
		}
	default:
		each(v)
	}
}

// TestEachPartOfAStateIsKept sets every number of a state in turn, and all
// together, and expects them back: a field that is added and not packed would
// make states the same that are not.
func TestEachPartOfAStateIsKept(t *testing.T) {
	var s State
	var w words
	n := 0
	back := func() State {
		var got State
		rest := got.read(s.append(nil, &w), &w)
		require.Empty(t, rest)
		return got
	}
	seen := map[mark]bool{markOf(s.append(nil, &w)): true}
	var all []reflect.Value
	numbers(reflect.ValueOf(&s).Elem(), func(v reflect.Value) { all = append(all, v) })
	set := func(v reflect.Value, n int64) {
		switch {
		case v.Kind() == reflect.Bool:
			v.SetBool(true)
		case v.CanInt():
			v.SetInt(n)
		default:
			v.SetUint(uint64(n))
		}
	}
	for _, v := range all {
		for _, x := range []int64{1, 100} {
			set(v, x)
			require.Equal(t, s, back(), "number %d", n)
			if v.Kind() != reflect.Bool || x == 1 {
				m := markOf(s.append(nil, &w))
				assert.False(t, seen[m], "number %d at %d has the mark of another state", n, x)
				seen[m] = true
			}
			v.SetZero()
		}
		n++
	}
	require.Greater(t, n, 100)
	for i, v := range all {
		set(v, int64(i%100+1))
	}
	require.Equal(t, s, back())
}

func TestVisited(t *testing.T) {
	v := newVisited()
	var text [16]byte
	for i := range 100_000 {
		text[0], text[1], text[2], text[9] = byte(i), byte(i>>8), byte(i>>16), byte(i)
		require.True(t, v.add(markOf(text[:])), i)
	}
	for i := range 100_000 {
		text[0], text[1], text[2], text[9] = byte(i), byte(i>>8), byte(i>>16), byte(i)
		require.False(t, v.add(markOf(text[:])), i)
	}
	assert.Equal(t, 100_000, v.n)
}
