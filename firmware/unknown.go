package main

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"

	"bathtender/firmware/journal"
)

// member is a member of a record that this version does not know.
type member struct{ name, text string }

// unknownMembers returns what a newer version has written into a record that this
// one knows nothing of, in the order of the line.
func unknownMembers(line []byte) []member {
	return unknownIn("", line, reflect.TypeFor[journal.Entry](), "crc")
}

func unknownIn(path string, text []byte, known reflect.Type, besides ...string) []member {
	types := map[string]reflect.Type{}
	for i := range known.NumField() {
		name, _, _ := strings.Cut(known.Field(i).Tag.Get("json"), ",")
		types[name] = known.Field(i).Type
	}
	for _, name := range besides {
		types[name] = nil
	}
	var list []member
	eachMember(text, func(name string, value json.RawMessage) {
		inner, is := types[name]
		for inner != nil && inner.Kind() == reflect.Pointer {
			inner = inner.Elem()
		}
		switch {
		case !is:
			list = append(list, member{path + name, string(value)})
		case inner != nil && inner.Kind() == reflect.Struct && inner.PkgPath() == known.PkgPath() && value[0] == '{':
			list = append(list, unknownIn(path+name+".", value, inner)...)
		}
	})
	return list
}

// eachMember calls do with the members of a JSON object, in their order, until
// something is no JSON.
func eachMember(text []byte, do func(name string, value json.RawMessage)) {
	d := json.NewDecoder(bytes.NewReader(text))
	if open, err := d.Token(); err != nil || open != json.Delim('{') {
		return
	}
	for d.More() {
		key, err := d.Token()
		name, ok := key.(string)
		var value json.RawMessage
		if err != nil || !ok || d.Decode(&value) != nil {
			return
		}
		do(name, value)
	}
}
