package trace

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"time"
)

// ReadMetadata reads a sidecar and returns the metadata and the names of the
// columns. It is strict: an unknown or repeated property, a note that is missing
// or twice there, a column that a trace does not have or that is described
// otherwise than WriteMetadata would, or a sidecar of another file is an error.
// Only the descriptions in words may differ. A missing file gives an error that
// is os.ErrNotExist.
func ReadMetadata(path string) (Metadata, []string, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return Metadata{}, nil, fmt.Errorf("the sidecar could not be read: %w", err)
	}
	return ParseMetadata(text, path)
}

// ParseMetadata reads the text of a sidecar as ReadMetadata does; the path is
// that of its file.
func ParseMetadata(text []byte, path string) (Metadata, []string, error) {
	csvFile, named := csvName(path)
	if !named {
		return Metadata{}, nil, fmt.Errorf("%s: the name of a sidecar is that of its CSV file followed by %s", path, SidecarSuffix)
	}
	meta, names, err := parseSidecar(text, csvFile)
	if err != nil {
		return Metadata{}, nil, fmt.Errorf("%s%w", path, err)
	}
	return meta, names, nil
}

// parseSidecar returns what the text of a sidecar of that CSV file says. An
// error begins with what follows the path in a message.
func parseSidecar(text []byte, csvFile string) (Metadata, []string, error) {
	var sidecar table
	if err := decodeStrictly(text, &sidecar, tableProperties); err != nil {
		return Metadata{}, nil, err
	}
	meta, err := sidecar.metadata()
	if err != nil {
		return Metadata{}, nil, fmt.Errorf(": %w", err)
	}
	if sidecar.Context != csvwContext {
		return Metadata{}, nil, fmt.Errorf(": @context is %q; expected %q", sidecar.Context, csvwContext)
	}
	if want := relativeURL(csvFile); sidecar.URL != want {
		return Metadata{}, nil, fmt.Errorf(": url is %q; expected %q, the file that this sidecar stands beside", sidecar.URL, want)
	}
	names := make([]string, len(sidecar.Schema.Columns))
	for i, c := range sidecar.Schema.Columns {
		names[i] = c.Name
	}
	picked, err := pickNames(names)
	if err != nil {
		return Metadata{}, nil, fmt.Errorf(": columns of tableSchema: %w", err)
	}
	for i, c := range picked {
		if err := sidecar.Schema.Columns[i].check(c.describe()); err != nil {
			return Metadata{}, nil, fmt.Errorf(": column %s: %w", c.name, err)
		}
	}
	return meta, names, nil
}

// check compares a column with the description it should have.
func (c columnText) check(want columnText) error {
	for _, property := range []struct{ name, is, want string }{
		{"titles", c.Titles, want.Titles},
		{"schema:unitText", c.Unit, want.Unit},
		{"base of datatype", c.Datatype.Base, want.Datatype.Base},
		{"format of datatype", c.Datatype.Format, want.Datatype.Format},
		{"required", strconv.FormatBool(c.Required), strconv.FormatBool(want.Required)},
	} {
		if property.is != property.want {
			return fmt.Errorf("%s is %q; expected %q", property.name, property.is, property.want)
		}
	}
	return nil
}

// metadata returns what the notes and dc:created say.
func (t table) metadata() (Metadata, error) {
	var meta Metadata
	values := map[string]string{}
	for _, n := range t.Notes {
		if n.Type != noteType {
			return meta, fmt.Errorf("a note has the type %q; expected %s", n.Type, noteType)
		}
		unit := ""
		switch n.Name {
		case noteTick:
			unit = "s"
		case noteOrigin, noteProgram, noteMachine, noteSeed, noteState, noteRecipes, noteTrip:
		default:
			return meta, fmt.Errorf("unknown note %q; expected %s, %s, %s, %s, %s, and perhaps %s, %s and %s",
				n.Name, noteOrigin, noteProgram, noteMachine, noteTick, noteSeed, noteTrip, noteRecipes, noteState)
		}
		if n.Unit != unit {
			return meta, fmt.Errorf("note %s has the unit %q; expected %q", n.Name, n.Unit, unit)
		}
		if _, twice := values[n.Name]; twice {
			return meta, fmt.Errorf("note %s is there twice; expected it once", n.Name)
		}
		if n.Value == "" && (n.Name == noteTrip || n.Name == noteRecipes || n.Name == noteState) {
			return meta, fmt.Errorf("note %s is empty; expected a text, or no such note", n.Name)
		}
		values[n.Name] = n.Value
	}
	meta.Origin = Origin(values[noteOrigin])
	for _, name := range []string{noteOrigin, noteProgram, noteMachine, noteTick, noteSeed} {
		_, found := values[name]
		switch needed := name != noteSeed || meta.Origin == Synthetic; {
		case needed && !found:
			return meta, fmt.Errorf("there is no note %s; expected it once", name)
		case !needed && found:
			return meta, fmt.Errorf("there is a note %s with the origin %s; expected it only with the origin %s", name, meta.Origin, Synthetic)
		}
	}
	meta.Program, meta.Machine = values[noteProgram], values[noteMachine]
	meta.State, meta.Trip = values[noteState], values[noteTrip]
	if recipes, found := values[noteRecipes]; found {
		meta.Recipes = strings.Split(recipes, " ")
	}
	tick, err := seconds.parseUnit(values[noteTick], "seconds")
	if err != nil {
		return meta, fmt.Errorf("note %s: %q %w", noteTick, values[noteTick], err)
	}
	meta.Tick = time.Duration(tick)
	if meta.Origin == Synthetic {
		if meta.Seed, err = strconv.ParseUint(values[noteSeed], 10, 64); err != nil {
			return meta, fmt.Errorf("note %s: %q is not a seed; expected a whole number from 0 to %d", noteSeed, values[noteSeed], uint64(1<<64-1))
		}
	}
	if t.Created != "" {
		created, err := time.Parse(time.RFC3339Nano, t.Created)
		if err != nil {
			return meta, fmt.Errorf("dc:created is %q; expected a date and time such as 2026-01-31T12:00:00Z", t.Created)
		}
		meta.Created = created.UTC()
	}
	return meta, meta.check()
}
