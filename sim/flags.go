package main

import (
	"flag"
	"io"
)

// flags parses a verb's flags, which may stand anywhere, and returns its other
// words, from least to most of them.
func flags(s *flag.FlagSet, out io.Writer, args []string, least, most int) ([]string, error) {
	return program().Flags(s, out, args, least, most)
}
