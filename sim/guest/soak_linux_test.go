package guest

import (
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The real program over a long time, its memory and its ticks. BATHTENDER_SOAK says how
// long in the guest's own time, as in "48h"; without it six minutes, for an hour in the
// guest takes a quarter of one outside. go test itself must be told to wait for so long
// (-timeout 0).
func TestInTheGuestASoak(t *testing.T) {
	needKernel(t)
	t.Parallel()
	lasts := 6 * time.Minute
	if text := os.Getenv("BATHTENDER_SOAK"); text != "" {
		var err error
		lasts, err = time.ParseDuration(text)
		require.NoError(t, err, "BATHTENDER_SOAK")
	}
	const test = "TestASoak"
	job := insideJob(test, "INSIDE_SOAK="+lasts.String())
	job.Args[2] = "-test.timeout=0"
	r := boot(t, Guest{Files: sessionFiles(t), Jobs: []Job{job}, Pace: Skipping, Limit: 4*time.Minute + lasts})
	requirePassed(t, r)
	showMeasured(t, r, test)
}
