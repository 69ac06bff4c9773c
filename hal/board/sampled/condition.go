package sampled

// Condition tells what becomes of a sensor: a sentence when it stops working, or
// stops for another reason, and one when it works again; never the same twice in
// a row. One goroutine uses it. The zero Condition tells nothing.
type Condition struct {
	// Log takes one sentence; nil for nobody.
	Log func(sentence string)

	told    bool
	trouble string // the reason told last, empty while it works
	good    int    // samples in a row since the trouble
}

// steady is how many good samples in a row end a trouble: a loose wire would
// otherwise fill the log. Own choice.
const steady = 3

// Good takes a good sample. The sentence is told at the first one ever, and when
// a trouble has ended.
func (c *Condition) Good(sentence string) {
	c.good++
	if c.told && (c.trouble == "" || c.good < steady) {
		return
	}
	c.tell(sentence)
	c.trouble = ""
}

// Bad takes a failed sample with its reason as one sentence. The reason should
// not carry a number that changes from sample to sample.
func (c *Condition) Bad(reason string) {
	c.good = 0
	if c.told && c.trouble == reason {
		return
	}
	c.tell(reason)
	c.trouble = reason
}

// Works reports whether the last word was a good one.
func (c *Condition) Works() bool { return c.told && c.trouble == "" }

func (c *Condition) tell(sentence string) {
	c.told = true
	if c.Log != nil {
		c.Log(sentence)
	}
}
