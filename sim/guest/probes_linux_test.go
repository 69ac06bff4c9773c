package guest

import (
	"testing"
)

// The thermometers that the modelled cabinet has, read by the kernel's own driver.
func TestInTheGuestTheKernelReadsTheThermometers(t *testing.T) {
	needKernel(t)
	t.Parallel()
	const test = "TestTheKernelReadsTheThermometers"
	r := boot(t, Guest{Files: insideFiles(t), Jobs: []Job{insideJob(test)}, Pace: Skipping})
	requirePassed(t, r)
	showMeasured(t, r, test)
}
