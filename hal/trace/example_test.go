package trace_test

import (
	"fmt"
	"os"
	"strings"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/trace"
)

// Record two ticks.
func ExampleWriter() {
	w, err := trace.NewWriter(os.Stdout, trace.Layout{Columns: []string{"time_s", "bath_a_degC", "request"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	var row trace.Row
	row.Probes[hal.BathA] = hal.Fresh(physic.ZeroCelsius + 60500*physic.MilliKelvin)
	row.Request = hal.Request{Verb: hal.Start, Recipe: "slides"}
	w.Write(&row) // its error stays, and Flush returns it
	w.Write(&trace.Row{Snapshot: hal.Snapshot{Time: 100 * time.Millisecond}})
	if err := w.Flush(); err != nil {
		fmt.Println(err)
	}
	// Output:
	// time_s,bath_a_degC,request
	// 0,60.5,start slides
	// 0.1,,
}

// Replay a trace as a board, against a supervisor that switches nothing on.
func ExamplePlayer() {
	const recorded = "time_s,mains_W,out_heater\n0,12,0\n0.1,1012,1\n"
	reader, err := trace.NewReader(strings.NewReader(recorded), "slides.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	player := trace.NewPlayer(reader)
	var snapshot hal.Snapshot
	for player.Read(&snapshot) == nil {
		fmt.Println(snapshot.Time, snapshot.Meter.Watts.Value)
		player.Write(hal.Outputs{})
	}
	fmt.Println(player.Difference())
	// Output:
	// 0s 12W
	// 100ms 1.012kW
	// slides.csv:3: at 0.1 s out_heater was recorded as 1 and is now 0
}
