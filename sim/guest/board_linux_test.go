package guest

import (
	"maps"
	"path"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

// onTheKernel are the packages whose tests ask the kernel for what only a board or a
// guest has.
var onTheKernel = []string{
	"./hal/board/gpiochip",
	"./hal/board/tach",
	"./hal/board/watchdog",
	"./hal/board/clock",
	"./hal/board",
}

// The tests of what is on the kernel's side of the board, under a real kernel. There a
// test that finds no simulated lines must fail (BATHTENDER_GUEST).
func TestInTheGuestTheBoardsTestsPass(t *testing.T) {
	needKernel(t)
	t.Parallel()
	files := map[string]File{}
	var jobs []Job
	for _, pkg := range onTheKernel {
		built := testProgram(t, pkg)
		require.NotEmpty(t, built.Data, "%s has no tests", pkg)
		where := "/tests/" + path.Base(pkg)
		maps.Copy(files, map[string]File{where: built})
		jobs = append(jobs, Job{Name: pkg, Args: []string{where, "-test.v", "-test.timeout=120s"}, Env: []string{"BATHTENDER_GUEST=1"}})
	}
	r := boot(t, Guest{Files: files, Jobs: jobs, Pace: Skipping})
	requirePassed(t, r)
	passed := regexp.MustCompile(`(?m)^--- PASS: Test`)
	for _, job := range jobs {
		require.True(t, r.HasPassed(job.Name))
		require.NotEmpty(t, passed.FindAllString(r.Output(job.Name), -1), "%s has run no test", job.Name)
	}
}
