package guest

import (
	"testing"
	"time"
)

// The thermometers that the modelled cabinet has, read by the kernel's own driver.
func TestInTheGuestTheKernelReadsTheThermometers(t *testing.T) {
	needKernel(t)
	t.Parallel()
	const test = "TestTheKernelReadsTheThermometers"
	r := boot(t, Guest{Files: insideFiles(t), Jobs: []Job{insideJob(test)}, Limit: 3 * time.Minute, Pace: Skipping})
	requirePassed(t, r)
	showMeasured(t, r, test)
}
