package main

import (
	"context"
	"fmt"
	"os"
	"strings"
	"time"

	"golang.org/x/term"

	"bathtender/firmware/status"
	"bathtender/firmware/status/screen"
	"bathtender/firmware/status/wording"
)

// What a terminal is told. ECMA-48, and the other screen of common terminals, so
// that what stood there before comes back.
const (
	takeScreen = "\x1b[?1049h\x1b[?25l\x1b[2J"
	giveScreen = "\x1b[?25h\x1b[?1049l"
	home       = "\x1b[H"
	lineEnd    = "\x1b[K\r\n"
	restEmpty  = "\x1b[K\x1b[J"
)

// callAgain is the time between two calls to a program that has hung up.
const callAgain = time.Second

// watchScreen draws views until the context ends. A program that hangs up is
// called again and again; meanwhile the screen says so and shows no value.
func watchScreen(ctx context.Context, terminal *os.File, client *status.Client, socket string) error {
	if _, err := terminal.WriteString(takeScreen); err != nil {
		return fmt.Errorf("the terminal cannot be written to: %w", err)
	}
	defer terminal.WriteString(giveScreen)
	var last time.Time
	for {
		err := client.Watch(ctx, func(v status.View) error {
			last = time.Now()
			return redraw(terminal, &v, "")
		})
		client.Close()
		for ctx.Err() == nil {
			lost := "no word from the program"
			if !last.IsZero() {
				lost += " for " + wording.Seconds(time.Since(last).Seconds())
			}
			if err := redraw(terminal, &status.View{}, lost+": "+err.Error()); err != nil {
				return err
			}
			select {
			case <-ctx.Done():
			case <-time.After(callAgain):
			}
			var again error
			if client, again = status.Dial(socket); again == nil {
				break
			} else {
				err = again
			}
		}
		if ctx.Err() != nil {
			return nil // as its owner wanted
		}
	}
}

// redraw draws the screen in place of what is there.
func redraw(terminal *os.File, v *status.View, lost string) error {
	width, height := sizeOf(terminal)
	text := ""
	if lost != "" {
		text = screen.Say(lost, width, 3)
		height -= 3
	}
	text += screen.Text(v, width, max(height, 4), colours())
	text = strings.ReplaceAll(strings.TrimSuffix(text, "\n"), "\n", lineEnd)
	if _, err := terminal.WriteString(home + text + restEmpty); err != nil {
		return fmt.Errorf("the terminal cannot be written to: %w", err)
	}
	return nil
}

// sizeOf returns the columns and lines of a terminal, the usual ones where it does
// not tell.
func sizeOf(terminal *os.File) (width, height int) {
	width, height, err := term.GetSize(int(terminal.Fd()))
	if err != nil || width <= 0 || height <= 0 {
		return screen.Columns, screen.Lines
	}
	return width, height
}
