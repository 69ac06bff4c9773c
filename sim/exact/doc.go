// Package exact gives the exact confidence bounds of a binomial proportion: of so
// many trials so many failed, so how often may it fail at most? The bounds are
// those of Clopper and Pearson (Biometrika 26, 1934): they hold for every number
// of trials and failures, none at all included, and err on the careful side only.
//
// It is for reports, not for the loop: it uses logarithms, whose last digits may
// differ between processors. Print its results with no more than ten digits.
package exact
