package guest

import (
	"os"
	"os/exec"
	"testing"
)

// missing skips a test for want of something outside the project, where that may be
// wanting; in CI it fails.
func missing(t *testing.T, reason string) {
	t.Helper()
	if os.Getenv("BATHTENDER_CI") != "" {
		t.Fatal(reason)
	}
	t.Skip(reason)
}

// needKernel returns the kernel of the guests.
func needKernel(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("emulated machines take too long for -short")
	}
	if _, err := exec.LookPath("qemu-system-x86_64"); err != nil {
		missing(t, "there is no qemu-system-x86_64 (Debian: qemu-system-x86)")
	}
	kernel := os.Getenv("BATHTENDER_KERNEL")
	if kernel == "" {
		missing(t, "BATHTENDER_KERNEL does not name a kernel; .ci/guest/kernel.sh builds one and prints its path")
	}
	if _, err := os.Stat(kernel); err != nil {
		t.Fatalf("BATHTENDER_KERNEL: %v", err)
	}
	return kernel
}

// needProgram returns the path of a program of the machine that the tests run on.
func needProgram(t *testing.T, name, debian string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		missing(t, "there is no "+name+" (Debian: "+debian+")")
	}
	return path
}
