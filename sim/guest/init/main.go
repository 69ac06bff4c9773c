//go:build linux

// Command init is the first process in an emulated machine: it mounts the kernel's file
// systems, runs the jobs of its list one after another, tells on the console what came
// of each, and ends the emulation with a status. A job that fails does not keep the
// next from running. See package guest, which starts it.
package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"time"

	"golang.org/x/sys/unix"

	"bathtender/sim/guest"
)

func main() {
	if os.Getpid() != 1 {
		fmt.Fprintln(os.Stderr, "init: this is the first process of an emulated machine, and of use nowhere else")
		os.Exit(2)
	}
	status := byte(guest.ExitFailed)
	if all() {
		status = guest.ExitPassed
	}
	leave(status)
}

// all runs everything, and reports whether all of it has passed.
func all() bool {
	if err := mount(); err != nil {
		fmt.Println(guest.Failed("init", err.Error()))
		return false
	}
	data, err := os.ReadFile(guest.JobsFile)
	var jobs []guest.Job
	if err == nil {
		err = json.Unmarshal(data, &jobs)
	}
	if err != nil {
		fmt.Println(guest.Failed("init", err.Error()))
		return false
	}
	good := true
	for _, job := range jobs {
		fmt.Println(guest.Begins(job.Name))
		if err := run(job); err != nil {
			fmt.Println(guest.Failed(job.Name, err.Error()))
			good = false
			continue
		}
		fmt.Println(guest.Passed(job.Name))
	}
	return good
}

func run(job guest.Job) error {
	c := exec.Command(job.Args[0], job.Args[1:]...)
	c.Env = append(os.Environ(), job.Env...)
	c.Stdout, c.Stderr = os.Stdout, os.Stderr
	return c.Run()
}

// mount mounts what the kernel has built in.
func mount() error {
	for _, m := range []struct{ kind, where string }{
		{"proc", "/proc"},
		{"sysfs", "/sys"},
		{"devtmpfs", "/dev"},
		{"devpts", "/dev/pts"},
		{"tmpfs", "/tmp"},
		{"configfs", "/sys/kernel/config"},
		{"debugfs", "/sys/kernel/debug"},
	} {
		if err := os.MkdirAll(m.where, 0o755); err != nil {
			return err
		}
		err := unix.Mount(m.kind, m.where, m.kind, 0, "")
		if err != nil && err != unix.EBUSY {
			return fmt.Errorf("%s cannot be mounted on %s: %w", m.kind, m.where, err)
		}
	}
	return nil
}

// leave ends the emulation with a status, once the console has taken all that was
// written to it.
func leave(status byte) {
	// The console is a serial port with a queue; TCSBRK with 1 waits for it (tcdrain).
	_ = unix.IoctlSetInt(1, unix.TCSBRK, 1)
	time.Sleep(50 * time.Millisecond)
	if port, err := os.OpenFile("/dev/port", os.O_WRONLY, 0); err == nil {
		_, _ = port.WriteAt([]byte{status}, guest.ExitPort)
	}
	// There was no such port: nobody has started us as package guest does.
	_ = unix.Reboot(unix.LINUX_REBOOT_CMD_POWER_OFF)
	select {}
}
