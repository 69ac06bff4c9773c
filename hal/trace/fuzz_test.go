package trace

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// FuzzReader: no input makes the reader panic, every error is one sentence, and
// what is accepted comes back the same when it is written and read again.
func FuzzReader(f *testing.F) {
	f.Add("time_s\n1\n")
	f.Add("\ufefftime_s,bath_a_degC,bath_a_age_s,request\r\n0.1,60.5,0.75,\"start a,\"\"b\"\"\r\nc\"\r\n0.2,,,stop")
	f.Add("out_banks,time_s,out_heater,record_ok,level_ok\n0110,-5,1,0,\n,9223372036.854775807,,1,1\n")
	f.Add("time_s,fan_8_rpm,mains_Hz\n1,-0.001,00.5\n")
	f.Add("time_s,request\n1,\"start \r\r\n\"\n")
	f.Add("events,time_s\n\"session of \"\"heavy\"\" begins; purge begins\",1\n,2\n\"\",3\n\"a\r\n\nb, c\",4\n")
	f.Add("time_s,events\n1,\"a\rb\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		rows, layout, err := accept(text)
		if err != nil {
			if strings.Contains(err.Error(), "\n") || len(err.Error()) > 1000 {
				t.Fatalf("not one sentence: %q", err)
			}
			return
		}
		var out bytes.Buffer
		w, err := NewWriter(&out, layout)
		if err != nil {
			t.Fatal(err)
		}
		for i := range rows {
			if err := w.Write(&rows[i]); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Flush(); err != nil {
			t.Fatal(err)
		}
		again, _, err := accept(out.String())
		if err != nil {
			t.Fatalf("%v in\n%s", err, out.String())
		}
		if difference := cmp.Diff(rows, again); difference != "" {
			t.Fatalf("rows came back otherwise (-read +again):\n%s", difference)
		}
	})
}

func accept(text string) ([]Row, Layout, error) {
	r, err := NewReader(strings.NewReader(text), "fuzz.csv")
	if err != nil {
		return nil, Layout{}, err
	}
	var rows []Row
	for {
		var row Row
		if err := r.Next(&row); err == io.EOF {
			return rows, r.Layout(), nil
		} else if err != nil {
			return nil, Layout{}, err
		}
		rows = append(rows, row)
	}
}

// FuzzSidecar: no text makes the reader of sidecars panic, and what it accepts
// comes back the same when it is written and read again.
func FuzzSidecar(f *testing.F) {
	for _, meta := range []Metadata{slideMeta, windowMeta} {
		var out bytes.Buffer
		if err := WriteMetadata(&out, "slide.csv", append(slideColumns, "events"), meta); err != nil {
			f.Fatal(err)
		}
		f.Add(out.Bytes())
	}
	f.Add([]byte("{}"))
	f.Add([]byte("[]"))
	f.Add([]byte(`{"url":{"url":[null]}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		meta, names, err := parseSidecar(text, "slide.csv")
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Fatalf("not one sentence: %q", err)
			}
			return
		}
		var out bytes.Buffer
		if err := WriteMetadata(&out, "slide.csv", names, meta); err != nil {
			t.Fatal(err)
		}
		again, namesAgain, err := parseSidecar(out.Bytes(), "slide.csv")
		if err != nil {
			t.Fatalf("%v in\n%s", err, out.String())
		}
		if difference := cmp.Diff(meta, again) + cmp.Diff(names, namesAgain); difference != "" {
			t.Fatalf("the sidecar came back otherwise (-read +again):\n%s", difference)
		}
	})
}
