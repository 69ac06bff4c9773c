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

// Guest is a machine that is to be emulated.
type Guest struct {
	// Kernel is the path of its kernel.
	Kernel string
	// Files are those of its file system; the first process must be at /init.
	Files map[string]File
	// Jobs are run one after another.
	Jobs []Job
	// Kernel parameters beside those that every guest has.
	Parameters string
	// Devices are further arguments of the emulator.
	Devices []string
	// SerialPorts is how many there are beside the console, 0 to 3. The guest sees them
	// as /dev/ttyS1 and on.
	SerialPorts int
	// Pace is how the guest's time passes.
	Pace Pace
	// Limit is how long it may take; a minute where it is 0.
	Limit time.Duration
}

// Pace is how the time of a guest passes.
type Pace int

// Paces.
const (
	// RealTime is the time outside. A guest whose emulator has to wait for a busy
	// processor is late.
	RealTime Pace = iota
	// Counted is 2 ns for each instruction, and the time outside while there is nothing
	// to do. Where the emulator has to wait the guest's time waits too: it is not late,
	// whatever else the machine outside does. What is connected to it sees it slow down.
	Counted
	// Skipping is 1 ns for each instruction, and no waiting: time in which there is
	// nothing to do is passed over. Nothing outside shares its clock, so no serial port
	// can be used.
	Skipping
)

// Machine is a machine that is being emulated.
type Machine struct {
	// Serial are the other ends of the guest's serial ports.
	Serial []net.Conn

	command *exec.Cmd
	cancel  context.CancelFunc
	context context.Context
	began   time.Time
	console console
	stderr  bytes.Buffer
	monitor *monitor
	folder  string
}

// Start starts the emulation. It must be ended with Wait.
func Start(ctx context.Context, g Guest) (*Machine, error) {
	folder, err := os.MkdirTemp("", "guest")
	if err != nil {
		return nil, err
	}
	m := &Machine{folder: folder, began: time.Now()}
	if err := m.start(ctx, g); err != nil {
		m.release()
		return nil, err
	}
	return m, nil
}

func (m *Machine) start(ctx context.Context, g Guest) error {
	initramfs := filepath.Join(m.folder, "initramfs.gz")
	if err := pack(initramfs, g); err != nil {
		return err
	}
	limit := g.Limit
	if limit == 0 {
		limit = time.Minute
	}
	m.context, m.cancel = context.WithTimeout(ctx, limit)
	m.command = exec.CommandContext(m.context, "qemu-system-x86_64", arguments(g, initramfs)...)
	m.command.Stdout, m.command.Stderr = &m.console, &m.stderr
	m.command.WaitDelay = 5 * time.Second
	// An emulator must not outlive the test that started it.
	m.command.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}

	ours := make([]net.Conn, 1+g.SerialPorts)
	for i := range ours {
		conn, theirs, err := pair()
		if err != nil {
			return err
		}
		defer theirs.Close()
		ours[i] = conn
		m.command.ExtraFiles = append(m.command.ExtraFiles, theirs)
	}
	m.Serial = ours[1:]
	m.monitor = newMonitor(ours[0])
	return m.command.Start()
}

// arguments returns those of the emulator. It always emulates the processor: where the
// machine below is itself emulated, its help with that cannot be relied on. One
// processor, for with more the simulated lines merge edges.
func arguments(g Guest, initramfs string) []string {
	args := []string{
		"-accel", "tcg", "-cpu", "max", "-smp", "1", "-m", "512",
		"-nodefaults", "-no-user-config", "-display", "none", "-no-reboot",
		"-kernel", g.Kernel, "-initrd", initramfs,
		"-append", strings.TrimSpace("console=ttyS0 panic=-1 quiet loglevel=4 " + g.Parameters),
		"-device", fmt.Sprintf("isa-debug-exit,iobase=%#x,iosize=4", ExitPort),
		"-chardev", "socket,id=monitor,fd=3", "-mon", "chardev=monitor,mode=control",
		"-chardev", "stdio,id=console,signal=off", "-serial", "chardev:console",
	}
	for i := range g.SerialPorts {
		args = append(args, "-chardev", fmt.Sprintf("socket,id=port%d,fd=%d", i+1, 4+i),
			"-serial", fmt.Sprintf("chardev:port%d", i+1))
	}
	switch g.Pace {
	case Counted:
		args = append(args, "-icount", "shift=1,sleep=on")
	case Skipping:
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

// Wait waits for the end of the emulation, and says how it ended.
func (m *Machine) Wait() *Result {
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

// Kill ends the emulation, as pulling the plug ends a machine.
func (m *Machine) Kill() { m.cancel() }

// release gives back what the machine has taken.
func (m *Machine) release() {
	if m.cancel != nil {
		m.cancel()
	}
	for _, conn := range m.Serial {
		if conn != nil {
			conn.Close()
		}
	}
	if m.monitor != nil {
		m.monitor.close()
	}
	os.RemoveAll(m.folder)
}
