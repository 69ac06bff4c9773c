// Package version holds the version of the programs. Traces and journals carry
// it: what one version decided, another may decide otherwise.
package version

// Version changes with every release whose decisions may differ.
const Version = "0.1.0"
