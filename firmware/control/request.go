package control

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"bathtender/hal/quantity"
)

// Asked is one request of a client.
type Asked struct {
	Ask    string `json:"ask"`
	Recipe string `json:"recipe,omitempty"`
}

// Reply is the answer to a start, a stop or a reset, and to whatever is wrong.
type Reply struct {
	OK    bool   `json:"ok"`
	Text  string `json:"text,omitempty"`
	Error string `json:"error,omitempty"`
}

// lineMost is the longest request.
const lineMost = 1024

const (
	askStatus = "status"
	askWatch  = "watch"
	askStart  = "start"
	askStop   = "stop"
	askReset  = "reset"
)

// parse reads a request.
func parse(line []byte, allowed []string) (Asked, error) {
	var a Asked
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(&a); err != nil {
		return a, fmt.Errorf("the request %s is no JSON object with \"ask\" and perhaps \"recipe\"", quantity.Quote(string(bytes.TrimSpace(line))))
	}
	if len(bytes.TrimSpace(line[d.InputOffset():])) > 0 {
		return a, fmt.Errorf("the request goes on after its JSON object, allowed is one object a line")
	}
	for _, word := range allowed {
		if a.Ask != word {
			continue
		}
		if a.Recipe != "" && a.Ask != askStart {
			return a, fmt.Errorf("%s takes no recipe", a.Ask)
		}
		if a.Recipe == "" && a.Ask == askStart {
			return a, fmt.Errorf("start needs a recipe")
		}
		return a, nil
	}
	return a, fmt.Errorf("this socket does not take %s, allowed are %s", quantity.Quote(a.Ask), strings.Join(allowed, ", "))
}
