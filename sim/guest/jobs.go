package guest

import (
	"strings"
	"time"
)

// Job is one command that the guest runs. Its folder is /.
type Job struct {
	// Name is what the job is called in the result.
	Name string
	// Args are the program, by its absolute path in the guest, and its arguments.
	Args []string
	// Env is added to the environment of the guest, each as NAME=VALUE.
	Env []string
}

// Words by which the first process of the guest tells on the console what a job came
// to; both sides use these.
const (
	JobsFile   = "/jobs.json"
	jobPrefix  = "guest: "
	jobPassed  = " passed"
	jobFailed  = " failed: "
	jobBegins  = " begins"
	ExitPort   = 0xf4
	ExitPassed = 0x10 // QEMU's isa-debug-exit ends with twice that and one: 33
	ExitFailed = 0x11 // 35
)

// Begins, Passed and Failed are the lines that say so of a job.
func Begins(name string) string         { return jobPrefix + name + jobBegins }
func Passed(name string) string         { return jobPrefix + name + jobPassed }
func Failed(name, reason string) string { return jobPrefix + name + jobFailed + reason }

// End is how an emulation has ended.
type End int

// Ends of an emulation.
const (
	EndedPassed   End = iota + 1 // every job has passed
	EndedFailed                  // a job has failed
	EndedReset                   // the guest was reset, or has powered itself off
	EndedTimedOut                // it took too long and was killed
	EndedBadly                   // QEMU itself has failed
)

// String returns the end in words.
func (e End) String() string {
	switch e {
	case EndedPassed:
		return "every job has passed"
	case EndedFailed:
		return "a job has failed"
	case EndedReset:
		return "the guest was reset or has powered itself off"
	case EndedTimedOut:
		return "the guest took too long"
	case EndedBadly:
		return "the emulator has failed"
	default:
		return "the guest has not ended"
	}
}

// Result is what came of a guest.
type Result struct {
	End  End
	Took time.Duration
	// Console is all that the guest has written to its console, lines ending with \n.
	Console string
	// Events are the emulator's own: for instance "WATCHDOG reset", "SHUTDOWN guest-reset".
	Events []string
	// Stderr is what the emulator itself complained of.
	Stderr string
}

// Output returns what one job has written, without the lines about it.
func (r *Result) Output(name string) string {
	_, rest, found := strings.Cut(r.Console, Begins(name)+"\n")
	if !found {
		return ""
	}
	for _, end := range []string{Passed(name), jobPrefix + name + jobFailed} {
		if out, _, found := strings.Cut(rest, end); found {
			return out
		}
	}
	return rest
}

// HasPassed reports whether a job has run and passed.
func (r *Result) HasPassed(name string) bool {
	return strings.Contains(r.Console, "\n"+Passed(name)+"\n")
}
