package cli

import (
	"flag"
	"fmt"
	"io"
)

// usage prints what the program can do.
func (p *Program) usage(w io.Writer) {
	fmt.Fprintf(w, "%s %s\n\n", p.Name, p.About)
	for i := range p.Verbs {
		v := &p.Verbs[i]
		fmt.Fprintf(w, "  %-30s %s\n", v.Name+" "+v.Args, v.About)
	}
	usual := p.Usual
	if usual != "" {
		usual += " "
	}
	fmt.Fprintf(w, "\n%sEach verb has -help.\n"+
		"Exit status: 0 all is well, 1 something failed, 2 the command line is wrong.\n", usual)
}

// help prints a verb with its flags.
func (p *Program) help(s *flag.FlagSet, out io.Writer) {
	more := ""
	if v := p.verb(s.Name()); v != nil {
		fmt.Fprintf(out, "%s %s %s\n%s\n", p.Name, v.Name, v.Args, v.About)
		more = v.More
	}
	s.SetOutput(out)
	s.PrintDefaults()
	if more != "" {
		fmt.Fprintf(out, "\n%s\n", more)
	}
}
