package trace

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"
)

// decodeStrictly puts one JSON object into to. Anything unknown, repeated, of
// the wrong kind or after the object is an error, which begins with the line and
// column, as far as they are known, as they follow a path in a message.
func decodeStrictly(text []byte, to any, properties []string) error {
	if !utf8.Valid(text) {
		return errors.New(": the sidecar is not UTF-8; expected JSON in UTF-8")
	}
	if err := json.Unmarshal(text, new(json.RawMessage)); err != nil {
		return jsonFault(text, err)
	}
	if err := checkProperties(text, properties); err != nil {
		return err
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(to); err != nil {
		return jsonFault(text, err)
	}
	return nil
}

func jsonFault(text []byte, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax) && int(syntax.Offset) >= len(text):
		return fmt.Errorf("%s: the sidecar ends within its JSON object; expected the rest of it", placeIn(text, len(text)))
	case errors.As(err, &syntax):
		return fmt.Errorf("%s: the sidecar is not JSON: %v", placeIn(text, int(syntax.Offset)-1), err)
	case errors.As(err, &kind):
		return fmt.Errorf("%s: %s is a JSON %s; expected a %s", placeIn(text, int(kind.Offset)-1), what(kind), kind.Value, kindWord(kind))
	}
	if name, unknown := strings.CutPrefix(err.Error(), "json: unknown field "); unknown {
		return fmt.Errorf(": property %s stands where it means nothing; expected only those that describe a trace", name)
	}
	return fmt.Errorf(": the sidecar could not be read: %w", err)
}

// what names the property that has the wrong kind of value.
func what(fault *json.UnmarshalTypeError) string {
	if fault.Field == "" {
		return "the sidecar"
	}
	return fault.Field
}

// kindWord says what kind of JSON value was expected.
func kindWord(fault *json.UnmarshalTypeError) string {
	switch fault.Type.Kind().String() {
	case "string":
		return "string"
	case "bool":
		return "true or false"
	case "slice":
		return "list"
	}
	return "JSON object"
}

// checkProperties refuses an object with a property twice, of which the decoder
// would silently keep the last, and a property that is none of those named,
// which the decoder would take in other letter case. The text must be JSON.
func checkProperties(text []byte, properties []string) error {
	type level struct {
		object bool
		key    bool // the next token of an object is a key
		seen   map[string]bool
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	levels := []level{}
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return jsonFault(text, err)
		}
		delimiter, delimits := token.(json.Delim)
		if delimits && (delimiter == '}' || delimiter == ']') {
			levels = levels[:len(levels)-1]
			continue
		}
		if top := len(levels) - 1; top >= 0 && levels[top].object {
			if levels[top].key {
				name, place := token.(string), placeIn(text, int(decoder.InputOffset())-1)
				if levels[top].seen[name] {
					return fmt.Errorf("%s: property %s is there twice; expected it once", place, quote(name))
				}
				if !slices.Contains(properties, name) {
					return fmt.Errorf("%s: unknown property %s; expected only those that describe a trace", place, quote(name))
				}
				levels[top].seen[name], levels[top].key = true, false
				continue
			}
			levels[top].key = true
		}
		if delimits {
			levels = append(levels, level{object: delimiter == '{', key: true, seen: map[string]bool{}})
		}
	}
}

// placeIn returns ":line:column", both from 1, of an offset in the text.
func placeIn(text []byte, offset int) string {
	before := text[:max(0, min(offset, len(text)))]
	line := bytes.Count(before, []byte("\n")) + 1
	return fmt.Sprintf(":%d:%d", line, len(before)-bytes.LastIndexByte(before, '\n'))
}
