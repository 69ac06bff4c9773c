package gpiochip

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// abi is everything of linux/gpio.h that this package relies upon: the name or
// expression there, and what is used here.
var abi = []struct {
	c    string
	here uint64
}{
	{"sizeof(struct gpiochip_info)", uint64(unsafe.Sizeof(unix.GPIOChipInfo{}))},
	{"sizeof(struct gpio_v2_line_info)", uint64(unsafe.Sizeof(unix.GPIOV2LineInfo{}))},
	{"sizeof(struct gpio_v2_line_config)", uint64(unsafe.Sizeof(unix.GPIOV2LineConfig{}))},
	{"sizeof(struct gpio_v2_line_request)", uint64(unsafe.Sizeof(unix.GPIOV2LineRequest{}))},
	{"sizeof(struct gpio_v2_line_values)", uint64(unsafe.Sizeof(unix.GPIOV2LineValues{}))},
	{"sizeof(struct gpio_v2_line_event)", uint64(unsafe.Sizeof(unix.GPIOV2LineEvent{}))},
	{"offsetof(struct gpiochip_info, lines)", uint64(unsafe.Offsetof(unix.GPIOChipInfo{}.Lines))},
	{"offsetof(struct gpio_v2_line_info, flags)", uint64(unsafe.Offsetof(unix.GPIOV2LineInfo{}.Flags))},
	{"offsetof(struct gpio_v2_line_request, config)", uint64(unsafe.Offsetof(unix.GPIOV2LineRequest{}.Config))},
	{"offsetof(struct gpio_v2_line_request, num_lines)", uint64(unsafe.Offsetof(unix.GPIOV2LineRequest{}.Num_lines))},
	{"offsetof(struct gpio_v2_line_request, event_buffer_size)", uint64(unsafe.Offsetof(unix.GPIOV2LineRequest{}.Event_buffer_size))},
	{"offsetof(struct gpio_v2_line_request, fd)", uint64(unsafe.Offsetof(unix.GPIOV2LineRequest{}.Fd))},
	{"offsetof(struct gpio_v2_line_config, attrs)", uint64(unsafe.Offsetof(unix.GPIOV2LineConfig{}.Attrs))},
	{"offsetof(struct gpio_v2_line_config_attribute, mask)", uint64(unsafe.Offsetof(unix.GPIOV2LineConfigAttribute{}.Mask))},
	{"offsetof(struct gpio_v2_line_attribute, debounce_period_us)", uint64(unsafe.Offsetof(unix.GPIOV2LineAttribute{}.Flags))},
	{"offsetof(struct gpio_v2_line_values, mask)", uint64(unsafe.Offsetof(unix.GPIOV2LineValues{}.Mask))},
	{"offsetof(struct gpio_v2_line_event, line_seqno)", uint64(unsafe.Offsetof(unix.GPIOV2LineEvent{}.Line_seqno))},
	{"GPIO_GET_CHIPINFO_IOCTL", unix.GPIO_GET_CHIPINFO_IOCTL},
	{"GPIO_V2_GET_LINEINFO_IOCTL", unix.GPIO_V2_GET_LINEINFO_IOCTL},
	{"GPIO_V2_GET_LINE_IOCTL", unix.GPIO_V2_GET_LINE_IOCTL},
	{"GPIO_V2_LINE_GET_VALUES_IOCTL", unix.GPIO_V2_LINE_GET_VALUES_IOCTL},
	{"GPIO_V2_LINE_SET_VALUES_IOCTL", unix.GPIO_V2_LINE_SET_VALUES_IOCTL},
	{"GPIO_V2_LINES_MAX", LinesMax},
	{"GPIO_V2_LINE_NUM_ATTRS_MAX", uint64(len(unix.GPIOV2LineConfig{}.Attrs))},
	{"GPIO_V2_LINE_ATTR_ID_FLAGS", unix.GPIO_V2_LINE_ATTR_ID_FLAGS},
	{"GPIO_V2_LINE_ATTR_ID_OUTPUT_VALUES", unix.GPIO_V2_LINE_ATTR_ID_OUTPUT_VALUES},
	{"GPIO_V2_LINE_ATTR_ID_DEBOUNCE", unix.GPIO_V2_LINE_ATTR_ID_DEBOUNCE},
	{"GPIO_V2_LINE_EVENT_RISING_EDGE", unix.GPIO_V2_LINE_EVENT_RISING_EDGE},
	{"GPIO_V2_LINE_FLAG_USED", flagUsed},
	{"GPIO_V2_LINE_FLAG_ACTIVE_LOW", flagActiveLow},
	{"GPIO_V2_LINE_FLAG_INPUT", flagInput},
	{"GPIO_V2_LINE_FLAG_OUTPUT", flagOutput},
	{"GPIO_V2_LINE_FLAG_EDGE_RISING", flagEdgeRising},
	{"GPIO_V2_LINE_FLAG_EDGE_FALLING", flagEdgeFalling},
	{"GPIO_V2_LINE_FLAG_BIAS_PULL_UP", flagBiasUp},
	{"GPIO_V2_LINE_FLAG_BIAS_PULL_DOWN", flagBiasDown},
	{"GPIO_V2_LINE_FLAG_BIAS_DISABLED", flagBiasOff},
}

// Sizes as the kernel's documentation of the interface publishes them; each is
// part of the number of its call too, so that a kernel refuses another one.
func TestSizesOfTheInterface(t *testing.T) {
	for name, size := range map[string]uint64{
		"gpiochip_info": 68, "gpio_v2_line_info": 256, "gpio_v2_line_config": 272,
		"gpio_v2_line_request": 592, "gpio_v2_line_values": 16, "gpio_v2_line_event": 48,
	} {
		found := false
		for _, a := range abi {
			if a.c == "sizeof(struct "+name+")" {
				assert.Equal(t, size, a.here, name)
				found = true
			}
		}
		assert.True(t, found, name)
	}
}

// The kernel's own header, compiled, says the same of every number.
func TestTheKernelsHeaderAgrees(t *testing.T) {
	if _, err := os.Stat("/usr/include/linux/gpio.h"); err != nil {
		missing(t, "the kernel's header linux/gpio.h is not there: "+err.Error())
	}
	gcc, err := exec.LookPath("gcc")
	if err != nil {
		missing(t, "gcc is not there: "+err.Error())
	}
	var source strings.Builder
	source.WriteString("#include <stdio.h>\n#include <stddef.h>\n#include <linux/gpio.h>\nint main(void) {\n")
	for _, a := range abi {
		fmt.Fprintf(&source, "printf(\"%%llu\\n\", (unsigned long long)(%s));\n", a.c)
	}
	source.WriteString("return 0; }\n")
	folder := t.TempDir()
	file, program := filepath.Join(folder, "abi.c"), filepath.Join(folder, "abi")
	require.NoError(t, os.WriteFile(file, []byte(source.String()), 0o600))
	out, err := exec.Command(gcc, "-o", program, file).CombinedOutput()
	require.NoError(t, err, string(out))
	out, err = exec.Command(program).Output()
	require.NoError(t, err)
	numbers := strings.Fields(string(out))
	require.Len(t, numbers, len(abi))
	for i, a := range abi {
		assert.Equal(t, fmt.Sprint(a.here), numbers[i], a.c)
	}
}

// missing skips a test whose outside program is not there, and fails it in CI.
func missing(t *testing.T, reason string) {
	t.Helper()
	if os.Getenv("BATHTENDER_CI") == "1" {
		t.Fatal(reason)
	}
	t.Skip(reason)
}
