// Package tomlfile reads a TOML file strictly, and knows where everything in it
// stands. Machine files, recipes and scenarios are read with it.
//
// A reader asks each table for the keys that it knows. What is missing, of the
// wrong type, out of its range or never asked for becomes a problem: one
// sentence with file, line and column, the value, and what is allowed. Reading
// goes on after a problem, so that a file's problems are all reported at once,
// in the order in which they stand in the file.
//
// Keys match exactly, capitals included.
package tomlfile
