// Package quantity reads and writes quantities as people write them: "900 mm",
// "45 degC", "1.5 h", "1:50". Machine files, recipes, scenarios and messages
// share it.
//
// A number is a plain decimal, kept exactly: it is never a float, and a value
// finer than the quantity's smallest step is refused rather than rounded. Only
// the units in a kind's table are accepted. There are no free SI prefixes, since
// one mistaken letter (mHz for MHz) would be a factor of a thousand million.
//
// The package does not judge whether a value is sensible; whoever reads it does.
package quantity
