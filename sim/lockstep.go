package main

import (
	"flag"
	"fmt"
	"io"
	"strings"

	"bathtender/firmware/cli"
	"bathtender/firmware/supervisor"
	"bathtender/hal/trace"
)

// lockstep lets another program be the cabinet: it sends a trace row and gets
// one back, row by row.
func lockstep(streams cli.Streams, args []string) error {
	s := flag.NewFlagSet("lockstep", flag.ContinueOnError)
	machineFile := s.String("machine", "", "machine `FILE`; the built-in demo tank without")
	recipes := recipeFlag(s)
	if _, err := flags(s, streams.Out, args, 0, 0); err != nil {
		return err
	}
	c, err := loadCabinet(*machineFile, *recipes)
	if err != nil {
		return err
	}
	layout := trace.Layout{Columns: append([]string{"time_s"}, append(outColumns(), "events")...), Banks: len(c.machine.Banks)}
	writer, err := trace.NewWriter(streams.Out, layout, trace.EachRow)
	if err != nil {
		return err
	}
	reader, err := trace.NewReader(streams.In, "standard input")
	if err != nil {
		return err
	}
	loop := supervisor.New(c.config, supervisor.Kept{})
	var row trace.Row
	for {
		switch err := reader.Next(&row); {
		case err == io.EOF:
			return nil
		case err != nil:
			return err
		}
		out, events := loop.Tick(&row.Snapshot, row.Request)
		var said []string
		for _, e := range events {
			said = append(said, loop.Sentence(e))
		}
		row.Outputs, row.HasOutputs, row.Events = out, true, strings.Join(said, "; ")
		if err := writer.Write(&row); err != nil {
			return fmt.Errorf("standard output: %w", err)
		}
	}
}
