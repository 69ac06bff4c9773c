package main

import (
	"flag"
	"fmt"
	"io"
	"math"
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
			return nil, usageError(flagMistake(s, err))
		}
		if s.NArg() == 0 {
			break
		}
		words = append(words, s.Arg(0))
		args = s.Args()[1:]
	}
	switch {
	case len(words) < least:
		return nil, usageError(fmt.Sprintf("nothing is given, allowed is %s", wordsOf(s)))
	case len(words) > most:
		return nil, usageError(fmt.Sprintf("%q is one word too many, allowed is %s", words[most], wordsOf(s)))
	}
	return words, nil
}

// wordsOf returns the words that a verb takes: "TRACE".
func wordsOf(s *flag.FlagSet) string {
	for _, v := range verbs() {
		if v.name == s.Name() && v.args != "" {
			return v.args
		}
	}
	return "none"
}

// flagMistake says in a sentence what is wrong with a flag.
func flagMistake(s *flag.FlagSet, err error) string {
	text := err.Error()
	if name, ok := strings.CutPrefix(text, "flag provided but not defined: "); ok {
		return fmt.Sprintf("there is no flag %s, allowed are %s", name, flagNames(s))
	}
	if name, ok := strings.CutPrefix(text, "flag needs an argument: "); ok {
		return fmt.Sprintf("flag %s has no value, allowed is one after it", name)
	}
	// invalid value "x" for flag -seed: parse error
	if rest, ok := strings.CutPrefix(text, "invalid value "); ok {
		value, rest, _ := strings.Cut(rest, " for flag ")
		name, _, _ := strings.Cut(rest, ": ")
		return fmt.Sprintf("flag %s cannot be %s, allowed is a whole number from 0 to %d", name, value, uint64(math.MaxUint64))
	}
	if rest, ok := strings.CutPrefix(text, "invalid boolean value "); ok {
		value, rest, _ := strings.Cut(rest, " for ")
		name, _, _ := strings.Cut(rest, ": ")
		return fmt.Sprintf("flag %s cannot be %s, allowed is the flag alone", name, value)
	}
	return text
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
