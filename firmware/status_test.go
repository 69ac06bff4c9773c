package main

import (
	"flag"
	"fmt"
	"os"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/status"
	"bathtender/firmware/status/example"
)

// showExample is the command show-status of the scripts: it answers at tank.sock
// as a running program, with a made-up view, and runs the command line that
// follows its name.
func showExample() {
	flag.Parse()
	view, raw := status.View{}, ""
	switch name := flag.Arg(0); name {
	case "idle":
		view = example.Idle()
	case "tripped":
		view = example.Tripped()
	case "nonsense":
		raw = "hello\n"
	case "refusal":
		raw = `{"error":"16 are watching already, allowed are 16"}` + "\n"
	default:
		fmt.Fprintf(os.Stderr, "there is no example %q\n", name)
		os.Exit(1)
	}
	p, err := example.Listen("tank.sock", view)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	if raw != "" {
		p.Send(raw)
	}
	args := flag.Args()[1:]
	if args[len(args)-1] == "-json" && raw == "" { // a watch, which somebody must end
		go func() {
			for len(p.Asked()) == 0 {
				time.Sleep(time.Millisecond)
			}
			time.Sleep(200 * time.Millisecond)
			own, err := os.FindProcess(os.Getpid())
			if err == nil {
				err = own.Signal(os.Interrupt)
			}
			if err != nil {
				fmt.Fprintln(os.Stderr, err)
			}
		}()
	}
	code := command(cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}, args)
	p.Close()
	os.Exit(code)
}
