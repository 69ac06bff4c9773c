// Package campaign tries every fault of the catalogue in every phase of a
// session, alone and two at a time, and sees what comes of it in the plant's own
// truth: who noticed, how soon, how soon nothing that can do harm had power, and
// whether a hazard stood for longer than it can be tolerated.
//
// A case is a pure function of its key. The same campaign gives the same result
// whatever the number of workers, in one go, resumed, or in parts that are merged.
package campaign
