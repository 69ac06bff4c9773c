package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"io"
	"os"
	"os/signal"
	"syscall"

	"bathtender/firmware/cli"
	"bathtender/firmware/status"
	"bathtender/firmware/status/screen"
)

const statusMore = `In a terminal the screen is drawn anew twice a second until Ctrl-C. Elsewhere, and
with -once, it is printed once. Nothing can be started or reset from it: that is
done at the tank.

-json writes what the screen is made of as JSON, one line for each half second;
with -once one line. A member that is missing is not known.

There are no colours where NO_COLOR is set. Words say all that colours say.`

// onceLines is the most that is printed once, where nothing needs to fit a screen.
const onceLines = 200

// showStatus shows what the running program does.
func showStatus(streams cli.Streams, args []string) error {
	var socket string
	var asJSON, once bool
	s := flag.NewFlagSet("status", flag.ContinueOnError)
	s.StringVar(&socket, "socket", usualStatus, "`FILE` of the socket of the running program")
	s.BoolVar(&asJSON, "json", false, "write JSON, one line for each view")
	s.BoolVar(&once, "once", false, "show it once")
	if _, err := program().Flags(s, streams.Out, args, 0, 0); err != nil {
		return err
	}
	client, err := status.Dial(socket)
	if err != nil {
		return err
	}
	defer client.Close()
	terminal, live := cli.Terminal(streams.Out)
	switch {
	case asJSON && !once:
		ctx, stop := untilStopped()
		defer stop()
		err := client.Watch(ctx, func(v status.View) error { return writeJSON(streams.Out, v) })
		if errors.Is(err, context.Canceled) {
			return nil // as its owner wanted
		}
		return err
	case live && !once:
		ctx, stop := untilStopped()
		defer stop()
		return watchScreen(ctx, terminal, client, socket)
	}
	view, err := client.Status()
	if err != nil {
		return err
	}
	if asJSON {
		return writeJSON(streams.Out, view)
	}
	width := screen.Columns
	if live {
		width, _ = sizeOf(terminal)
	}
	_, err = io.WriteString(streams.Out, screen.Text(&view, width, onceLines, live && colours()))
	return err
}

// untilStopped returns a context that ends with Ctrl-C or when the program is told
// to end.
func untilStopped() (context.Context, context.CancelFunc) {
	return signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
}

func writeJSON(out io.Writer, v status.View) error { return json.NewEncoder(out).Encode(v) }

// colours reports whether a terminal is to have them (NO_COLOR is a custom of
// programs for the terminal).
func colours() bool { return os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" }
