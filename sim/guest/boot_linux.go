package guest

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// Boot emulates a machine until it ends by itself, or its limit is over, and says how it
// ended. The error is for one that could not be started.
func Boot(ctx context.Context, g Guest) (*Result, error) {
	folder, err := os.MkdirTemp("", "guest")
	if err != nil {
		return nil, err
	}
	m := &machine{folder: folder, began: time.Now()}
	if err := m.start(ctx, g); err != nil {
		m.release()
		return nil, fmt.Errorf("the emulated machine cannot be started: %w", err)
	}
	return m.wait(), nil
}

// machine is a machine that is being emulated.
type machine struct {
	command *exec.Cmd
	cancel  context.CancelFunc
	context context.Context
	began   time.Time
	console console
	stderr  bytes.Buffer
	monitor *monitor
	folder  string
}

func (m *machine) start(ctx context.Context, g Guest) error {
	initramfs := filepath.Join(m.folder, "initramfs.gz")
	if err := pack(initramfs, g); err != nil {
		return err
	}
	limit := g.Limit
	if limit == 0 {
		limit = 5 * time.Minute
	}
	m.context, m.cancel = context.WithTimeout(ctx, limit)
	m.command = exec.CommandContext(m.context, "qemu-system-x86_64", arguments(g, initramfs)...)
	m.command.Stdout, m.command.Stderr = &m.console, &m.stderr
	m.command.WaitDelay = 5 * time.Second
	// An emulator must not outlive the test that started it.
	m.command.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}

	ours, theirs, err := pair()
	if err != nil {
		return err
	}
	defer theirs.Close()
	m.command.ExtraFiles = []*os.File{theirs} // descriptor 3
	m.monitor = newMonitor(ours)
	return m.command.Start()
}

// parameters are the kernel's. A machine in which nothing happens by chance would gather
// no chance to make random numbers of, so it takes those of its processor; who asks for
// some would wait for ever.
const parameters = "console=ttyS0 panic=-1 quiet loglevel=4 random.trust_cpu=on"

// arguments returns those of the emulator. It always emulates the processor: where the
// machine below is itself emulated, its help with that cannot be relied on. One
// processor, for with more the simulated lines merge edges.
func arguments(g Guest, initramfs string) []string {
	args := []string{
		"-accel", "tcg", "-cpu", "max", "-smp", "1", "-m", "512",
		"-nodefaults", "-no-user-config", "-display", "none", "-no-reboot",
		"-kernel", g.Kernel, "-initrd", initramfs,
		"-append", strings.TrimSpace(parameters + " " + g.Parameters),
		"-device", fmt.Sprintf("isa-debug-exit,iobase=%#x,iosize=4", ExitPort),
		"-chardev", "socket,id=monitor,fd=3", "-mon", "chardev=monitor,mode=control",
		"-chardev", "stdio,id=console,signal=off", "-serial", "chardev:console",
	}
	if g.Pace == Skipping {
		args = append(args, "-icount", "shift=0,sleep=off")
	}
	return append(args, g.Devices...)
}

// pack writes the initramfs of a guest.
func pack(path string, g Guest) error {
	jobs, err := json.Marshal(g.Jobs)
	if err != nil {
		return err
	}
	files := map[string]File{JobsFile: {Data: jobs, Mode: 0o644}}
	for name, f := range g.Files {
		files[name] = f
	}
	out, err := os.Create(path)
	if err != nil {
		return err
	}
	defer out.Close()
	// Unpacking is done by the emulated processor: the less, the sooner it has booted.
	packed, _ := gzip.NewWriterLevel(out, gzip.BestSpeed)
	if err := WriteArchive(packed, files); err != nil {
		return err
	}
	if err := packed.Close(); err != nil {
		return err
	}
	return out.Close()
}

// pair returns the two ends of a connection, ours and one for the emulator.
func pair() (net.Conn, *os.File, error) {
	ends, err := syscall.Socketpair(syscall.AF_UNIX, syscall.SOCK_STREAM|syscall.SOCK_CLOEXEC, 0)
	if err != nil {
		return nil, nil, err
	}
	ours, theirs := os.NewFile(uintptr(ends[0]), "ours"), os.NewFile(uintptr(ends[1]), "theirs")
	defer ours.Close()
	conn, err := net.FileConn(ours)
	if err != nil {
		theirs.Close()
	}
	return conn, theirs, err
}

// wait waits for the end of the emulation, and says how it ended.
func (m *machine) wait() *Result {
	err := m.command.Wait()
	timedOut := m.context.Err() != nil
	m.release()
	r := &Result{
		Took: time.Since(m.began), Console: m.console.text(), Stderr: m.stderr.String(), Events: m.monitor.events(),
	}
	var exit *exec.ExitError
	code := 0
	switch {
	case errors.As(err, &exit):
		code = exit.ExitCode()
	case err != nil:
		code = -1
	}
	switch {
	case timedOut:
		r.End = EndedTimedOut
	case code == 0:
		r.End = EndedReset
	case code == 2*ExitPassed+1:
		r.End = EndedPassed
	case code == 2*ExitFailed+1:
		r.End = EndedFailed
	default:
		r.End = EndedBadly
	}
	return r
}

// release gives back what the machine has taken.
func (m *machine) release() {
	if m.cancel != nil {
		m.cancel()
	}
	if m.monitor != nil {
		m.monitor.close()
	}
	os.RemoveAll(m.folder)
}
