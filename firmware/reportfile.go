package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/prooftest"
	"bathtender/hal/quantity"
)

// reportForm returns how a report of that name is written; nil for no name.
func reportForm(name string) (func(*prooftest.Report, io.Writer) error, error) {
	switch filepath.Ext(name) {
	case ".html":
		return (*prooftest.Report).WriteHTML, nil
	case ".txt":
		return (*prooftest.Report).WriteText, nil
	}
	if name == "" {
		return nil, nil
	}
	return nil, fmt.Errorf("report %s has no form that can be written, allowed are FILE.html and FILE.txt", quantity.Quote(name))
}

func writeReport(name string, r *prooftest.Report, write func(*prooftest.Report, io.Writer) error) error {
	var text bytes.Buffer
	if err := write(r, &text); err != nil {
		return err
	}
	if err := os.WriteFile(name, text.Bytes(), 0o644); err != nil {
		return fmt.Errorf("the report %q cannot be written: %w", name, fileerror.Cause(err))
	}
	return nil
}
