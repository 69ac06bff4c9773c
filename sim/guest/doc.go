// Package guest runs programs of this project in an emulated PC, under a real kernel,
// with everything simulated that a board would have: lines, buses, serial ports,
// watchdogs. What is proved there is that our code and the kernel understand each
// other. It says nothing of the electrical side, and nothing of how late a tick comes
// on a board: the processor is emulated, and its time with it.
//
// Boot makes an initramfs of the files that it is given, starts QEMU with a kernel made
// by .ci/guest/kernel.sh, and returns what came of it. In the guest, the program of
// sim/guest/init is the first process: it mounts what there is to mount, runs the
// commands one after another, and ends the emulation with a status.
//
// A guest's time is counted in its instructions, and passes over what it would wait for:
// an hour of a quiet program takes a quarter of one, and nothing in it is ever late
// because the machine outside is busy. All that takes part must therefore be in the guest,
// other people's programs too: the tests copy them in with their libraries.
//
//	BATHTENDER_KERNEL=$(.ci/guest/kernel.sh) go test -v ./sim/guest
//
// runs them all. What they run in the guest is in the folders below: inside, the tests
// themselves; cabinet, the modelled tank behind the lines; probes, its thermometers.
//
// The package works on Linux only. It does not find the kernel by itself: that is
// named by the environment variable BATHTENDER_KERNEL.
package guest
