package gpiochip

import (
	"unsafe"

	"golang.org/x/sys/unix"
)

// Flags of a line (enum gpio_v2_line_flag of linux/gpio.h).
const (
	flagUsed        = 1 << 0
	flagActiveLow   = 1 << 1
	flagInput       = 1 << 2
	flagOutput      = 1 << 3
	flagEdgeRising  = 1 << 4
	flagEdgeFalling = 1 << 5
	flagBiasUp      = 1 << 8
	flagBiasDown    = 1 << 9
	flagBiasOff     = 1 << 10
)

// ioctl calls the kernel with a structure of linux/gpio.h, again where a signal of
// the runtime interrupts it.
func ioctl[T any](fd int, request uintptr, arg *T) error {
	for {
		_, _, errno := unix.Syscall(unix.SYS_IOCTL, uintptr(fd), request, uintptr(unsafe.Pointer(arg)))
		switch errno {
		case 0:
			return nil
		case unix.EINTR:
		default:
			return errno
		}
	}
}

// text returns a name as the kernel has it: up to the first zero byte.
func text(name []byte) string { return unix.ByteSliceToString(name) }
