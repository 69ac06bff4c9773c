package cli

import (
	"flag"
	"fmt"
	"io"
	"math"
	"strings"
)

// Flags parses a verb's flags, which may stand before, between and after its
// other words; it returns those. The set has the verb's name. The count of words
// must be from least to most. A mistake is a UsageError; -help prints the verb's
// help and is flag.ErrHelp.
func (p *Program) Flags(s *flag.FlagSet, out io.Writer, args []string, least, most int) ([]string, error) {
	s.SetOutput(io.Discard)
	s.Usage = func() {}
	var words []string
	for {
		err := s.Parse(args)
		if err == flag.ErrHelp {
			p.help(s, out)
			return nil, err
		}
		if err != nil {
			return nil, UsageError(mistake(s, err))
		}
		if s.NArg() == 0 {
			break
		}
		words = append(words, s.Arg(0))
		args = s.Args()[1:]
	}
	switch {
	case len(words) < least:
		return nil, UsageError(fmt.Sprintf("nothing is given, allowed is %s", p.wordsOf(s)))
	case len(words) > most:
		return nil, UsageError(fmt.Sprintf("%q is one word too many, allowed is %s", words[most], p.wordsOf(s)))
	}
	return words, nil
}

// wordsOf returns the words that a verb takes: "TRACE".
func (p *Program) wordsOf(s *flag.FlagSet) string {
	if v := p.verb(s.Name()); v != nil && v.Args != "" {
		return v.Args
	}
	return "none"
}

// mistake says in a sentence what is wrong with a flag.
func mistake(s *flag.FlagSet, err error) string {
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
