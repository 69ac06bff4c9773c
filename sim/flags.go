package main

import (
	"flag"
	"fmt"
	"io"
	"strings"
)

// flags parses a verb's flags, which may stand before, between and after its
// other words; it returns those. The count of words must be from least to most.
func flags(s *flag.FlagSet, out io.Writer, args []string, least, most int) ([]string, error) {
	s.SetOutput(io.Discard)
	s.Usage = func() {}
	var words []string
	for {
		err := s.Parse(args)
		if err == flag.ErrHelp {
			help(s, out)
			return nil, err
		}
		if err != nil {
			return nil, usageError(fmt.Sprintf("%s; allowed are %s", err, flagNames(s)))
		}
		if s.NArg() == 0 {
			break
		}
		words = append(words, s.Arg(0))
		args = s.Args()[1:]
	}
	switch {
	case len(words) < least:
		return nil, usageError(fmt.Sprintf("%d words are too few, allowed are %s; see -help", len(words), counts(least, most)))
	case len(words) > most:
		return nil, usageError(fmt.Sprintf("%q is one word too many, allowed are %s; see -help", words[most], counts(least, most)))
	}
	return words, nil
}

func counts(least, most int) string {
	switch {
	case most > 1000:
		return fmt.Sprintf("%d or more", least)
	case least == most:
		return fmt.Sprint(least)
	default:
		return fmt.Sprintf("%d to %d", least, most)
	}
}

func flagNames(s *flag.FlagSet) string {
	var names []string
	s.VisitAll(func(f *flag.Flag) { names = append(names, "-"+f.Name) })
	if len(names) == 0 {
		return "no flags"
	}
	return strings.Join(names, ", ")
}

func help(s *flag.FlagSet, out io.Writer) {
	for _, v := range verbs() {
		if v.name == s.Name() {
			fmt.Fprintf(out, "bathtender-sim %s %s\n%s\n", v.name, v.args, v.about)
		}
	}
	s.SetOutput(out)
	s.PrintDefaults()
}
