// Package inside holds the tests that run in an emulated machine, where the kernel has
// simulated lines, watchdogs and buses. Package guest builds them, and boots a machine
// that runs them. Anywhere else they are skipped, for they would take what the machine
// has for what is simulated, and let its watchdog bite.
package inside
