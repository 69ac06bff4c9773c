package main

import (
	"flag"
	"fmt"
	"os"

	"bathtender/firmware/cli"
	watched "bathtender/firmware/page"
)

const pageMore = `The page shows what the running program says and what is in the journal. Nothing
can be started, stopped or reset from it. Run it as a user of its own that may
read the journal and use the socket, and may do nothing else; docs/page.md has the
steps.

Without more it can be seen from this machine only. To be seen from others it needs
all of -token-file (one line of 20 to 200 letters, readable by nobody else), -cert
and -key (PEM files for TLS).

Under /metrics are the same facts for a monitor of several tanks, as OpenMetrics
text; docs/many-tanks.md has an example.

It ends with Ctrl-C.`

// servePage serves the watch-only page.
func servePage(streams cli.Streams, args []string) error {
	var c watched.Config
	s := flag.NewFlagSet("page", flag.ContinueOnError)
	s.StringVar(&c.Socket, "socket", usualStatus, "`FILE` of the socket of the running program")
	s.StringVar(&c.Journal, "journal", usualJournal, "`FOLDER` of the journal")
	s.StringVar(&c.Listen, "listen", "127.0.0.1:8480", "`ADDRESS` and port to be seen at")
	s.StringVar(&c.TokenFile, "token-file", "", "`FILE` with the token that a watcher must show")
	s.StringVar(&c.Cert, "cert", "", "`FILE` with the certificate for TLS")
	s.StringVar(&c.Key, "key", "", "`FILE` with its key")
	if _, err := program().Flags(s, streams.Out, args, 0, 0); err != nil {
		return err
	}
	if os.Geteuid() == 0 {
		fmt.Fprintln(streams.Err, "the page runs as root, which it should not: give it a user of its own, as in docs/page.md")
	}
	ctx, stop := untilStopped()
	defer stop()
	return watched.Serve(ctx, c, func(url string) { fmt.Fprintf(streams.Out, "the page is at %s\n", url) })
}
