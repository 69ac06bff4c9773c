package trace

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"bathtender/hal"
)

const startPrefix = "start "

// requestColumn is request: empty, "start NAME", "stop" or "reset".
func requestColumn() column {
	return column{
		name: requestName, about: `request of its owner: nothing, "start NAME", "stop" or "reset"`,
		base: "string", blank: true,
		parse: func(row *Row, text string) error {
			request, err := parseRequest(text)
			row.Request = request
			return err
		},
		append: func(dst []byte, row *Row, _ int) []byte {
			switch row.Request.Verb {
			case hal.Start:
				return appendStart(dst, row.Request.Recipe)
			case hal.Stop:
				return append(dst, "stop"...)
			case hal.Reset:
				return append(dst, "reset"...)
			}
			return dst
		},
	}
}

func parseRequest(text string) (hal.Request, error) {
	switch text {
	case "stop":
		return hal.Request{Verb: hal.Stop}, nil
	case "reset":
		return hal.Request{Verb: hal.Reset}, nil
	}
	name, isStart := strings.CutPrefix(text, startPrefix)
	if !isStart {
		return hal.Request{}, errors.New(`is not a request; expected nothing, "start NAME", "stop" or "reset"`)
	}
	if err := checkText(name); err != nil {
		return hal.Request{}, fmt.Errorf("has a recipe name that %w", err)
	}
	// A copy, so that a kept name does not keep its whole row.
	return hal.Request{Verb: hal.Start, Recipe: strings.Clone(name)}, nil
}

// checkRequest says what a trace cannot hold of a request.
func checkRequest(request hal.Request) error {
	if request.Verb > hal.Reset {
		return fmt.Errorf("the request has the unknown verb %d; expected none, start, stop or reset", request.Verb)
	}
	if request.Verb != hal.Start && request.Recipe != "" {
		return fmt.Errorf("the request names the recipe %q, which only goes with a start", request.Recipe)
	}
	if err := checkText(request.Recipe); err != nil {
		return fmt.Errorf("the recipe name %q %w", request.Recipe, err)
	}
	return nil
}

// checkText says what a trace cannot hold of a text. Readers of CSV take CRLF
// inside a quoted field for LF, so a carriage return would not come back.
func checkText(text string) error {
	if strings.IndexByte(text, '\r') >= 0 {
		return errors.New("holds a carriage return, which a trace cannot keep; expected a text without one")
	}
	if !utf8.ValidString(text) {
		return errors.New("is not UTF-8; expected a text in UTF-8")
	}
	return nil
}

// appendStart adds a start to dst, quoted where RFC 4180 (2.6) asks for it.
func appendStart(dst []byte, recipe string) []byte {
	if !strings.ContainsAny(recipe, ",\"\n\r") {
		return append(append(dst, startPrefix...), recipe...)
	}
	dst = append(append(dst, '"'), startPrefix...)
	dst = appendDoubled(dst, recipe)
	return append(dst, '"')
}

// appendDoubled adds text to dst with its quotes doubled (RFC 4180, 2.7).
func appendDoubled(dst []byte, text string) []byte {
	for i := range len(text) {
		if text[i] == '"' {
			dst = append(dst, '"')
		}
		dst = append(dst, text[i])
	}
	return dst
}
