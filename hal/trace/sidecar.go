package trace

import (
	"encoding/json"
	"fmt"
	"io"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// SidecarSuffix follows the name of a CSV file in that of its sidecar: the
// first of the default places in the Model for Tabular Data and Metadata on the
// Web (W3C Recommendation, 17 December 2015; from memory).
const SidecarSuffix = "-metadata.json"

const csvwContext = "http://www.w3.org/ns/csvw"

// table is a table description of the Metadata Vocabulary for Tabular Data (W3C
// Recommendation, 17 December 2015), of which the sidecar uses
//
//   - the top-level context without a local one: a document may not declare
//     prefixes, so all else is said with dc and schema of the initial context;
//   - url (relative to the sidecar), notes and tableSchema of a table;
//   - columns of a schema, with name, titles, required and datatype;
//   - datatype descriptions with base and, for booleans and strings, format;
//   - common properties: dc:created of the table, and dc:description and
//     schema:unitText of a column. Where the trace comes from is a list of
//     notes, each a schema:PropertyValue.
//
// The dialect is the default one; an empty field is the default null.
type table struct {
	Context string `json:"@context"`
	URL     string `json:"url"`
	Created string `json:"dc:created,omitempty"`
	Notes   []note `json:"notes"`
	Schema  schema `json:"tableSchema"`
}

type schema struct {
	Columns []columnText `json:"columns"`
}

type columnText struct {
	Name        string   `json:"name"`
	Titles      string   `json:"titles"`
	Description string   `json:"dc:description"`
	Unit        string   `json:"schema:unitText,omitempty"`
	Required    bool     `json:"required,omitempty"`
	Datatype    datatype `json:"datatype"`
}

type datatype struct {
	Base   string `json:"base"`
	Format string `json:"format,omitempty"`
}

type note struct {
	Type  string `json:"@type"`
	Name  string `json:"schema:name"`
	Value string `json:"schema:value"`
	Unit  string `json:"schema:unitText,omitempty"`
}

// tableProperties is every property of a table and what is in it.
var tableProperties = []string{
	"@context", "url", "dc:created", "notes", "tableSchema", "columns",
	"name", "titles", "dc:description", "schema:unitText", "required", "datatype", "base", "format",
	"@type", "schema:name", "schema:value",
}

// The names of the notes.
const (
	noteType    = "schema:PropertyValue"
	noteOrigin  = "origin"
	noteProgram = "program version"
	noteMachine = "machine file fingerprint"
	noteTick    = "tick"
	noteSeed    = "seed"
	noteState   = "state before the first row"
	noteRecipes = "recipe file fingerprints"
	noteTrip    = "recorded because of"
)

// describe returns the column as the sidecar has it.
func (c *column) describe() columnText {
	return columnText{
		Name: c.name, Titles: c.name, Description: c.about, Unit: c.unit,
		// A field that may be empty is null in a table; no other may.
		Required: !c.blank && !c.output, Datatype: datatype{c.base, c.shape},
	}
}

// WriteMetadata writes the sidecar of a CSV file of that name with these
// columns. It uses W3C Tabular Data on the Web; the seed is text because JSON
// readers keep no more than 53 bits of a number. An error says what is wrong
// with the columns or the metadata, or why out took no sidecar.
func WriteMetadata(out io.Writer, csvFileName string, columns []string, meta Metadata) error {
	if err := meta.check(); err != nil {
		return err
	}
	picked, err := pickNames(columns)
	if err != nil {
		return err
	}
	sidecar := table{Context: csvwContext, URL: relativeURL(csvFileName)}
	if !meta.Created.IsZero() {
		sidecar.Created = meta.Created.UTC().Format(time.RFC3339Nano)
	}
	add := func(name, value, unit string) {
		sidecar.Notes = append(sidecar.Notes, note{noteType, name, value, unit})
	}
	add(noteOrigin, string(meta.Origin), "")
	add(noteProgram, meta.Program, "")
	add(noteMachine, meta.Machine, "")
	add(noteTick, string(seconds.append(nil, int64(meta.Tick))), "s")
	if meta.Origin == Synthetic {
		add(noteSeed, strconv.FormatUint(meta.Seed, 10), "")
	}
	for _, more := range []struct{ name, value string }{
		{noteTrip, meta.Trip}, {noteRecipes, strings.Join(meta.Recipes, " ")}, {noteState, meta.State},
	} {
		if more.value != "" {
			add(more.name, more.value, "")
		}
	}
	for _, c := range picked {
		sidecar.Schema.Columns = append(sidecar.Schema.Columns, c.describe())
	}
	encoder := json.NewEncoder(out)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(sidecar); err != nil {
		return fmt.Errorf("the sidecar could not be written: %w", err)
	}
	return nil
}

// relativeURL returns the reference to a file beside the sidecar (RFC 3986).
func relativeURL(csvFileName string) string {
	return (&url.URL{Path: filepath.Base(csvFileName)}).String()
}

// SidecarPath returns the path of the sidecar of a CSV file.
func SidecarPath(csvPath string) string { return csvPath + SidecarSuffix }

// csvName returns the name of the CSV file that a sidecar of that path is for.
func csvName(sidecarPath string) (string, bool) {
	return strings.CutSuffix(filepath.Base(sidecarPath), SidecarSuffix)
}
