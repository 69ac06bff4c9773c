package cli

import "io"

// watched notes the first error of a stream, since a report that could not be
// printed must not pass for one that was.
type watched struct {
	to  io.Writer
	err error
}

func (w *watched) Write(p []byte) (int, error) {
	n, err := w.to.Write(p)
	if w.err == nil {
		w.err = err
	}
	return n, err
}
