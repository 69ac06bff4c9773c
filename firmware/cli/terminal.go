package cli

import (
	"io"
	"os"

	"golang.org/x/term"
)

// Terminal returns the terminal behind a stream, and whether there is one. What is
// written to it directly is not watched for errors.
func Terminal(out io.Writer) (*os.File, bool) {
	if w, ok := out.(*watched); ok {
		out = w.to
	}
	file, ok := out.(*os.File)
	return file, ok && term.IsTerminal(int(file.Fd()))
}
