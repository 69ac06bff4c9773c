// Package testdata holds the demo tank's machine file, its recipes and its
// scenarios.
//
// It is a package because Go can only embed what stands beside or below the
// file that embeds it, and the simulator carries the demo tank built in. Its
// folder is left out of patterns such as ./..., but it can be imported.
package testdata

import "embed"

// FS holds machines/*.toml, recipes/*.toml, scenarios/*.toml and the recipes that
// only a scenario uses, scenarios/recipes/*.toml.
//
//go:embed machines/*.toml recipes/*.toml scenarios/*.toml scenarios/recipes/*.toml
var FS embed.FS
