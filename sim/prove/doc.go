// Package prove searches everything that the supervisor can come to do in small
// worlds, and holds it against rules that are stated over the world alone.
//
// What is searched is supervisor.Decide itself, not a model of it. A View is one
// small world: a machine whose delays are a few ticks long, and at each tick
// every combination of what a few of its sensors can say (below, at and over each
// threshold, absent, too old), of what can be asked, and of a restart of the
// program. All other sensors stay healthy. The search goes breadth first until
// no new state comes up, so that what it says holds for runs of any length in
// that view, and the first trace to break a rule is a shortest one.
//
// A rule (Invariant) is judged by a Monitor. It sees what the sensors said, what
// was asked, what was driven and what was told, and counts by itself; it never
// looks at what Decide remembers.
//
// It leaves to others what more faults at once than a view varies would do
// (sim/campaign), what the estimates come from (firmware/health), and the plant.
package prove
