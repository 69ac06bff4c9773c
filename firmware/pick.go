package main

import (
	"bytes"

	"bathtender/firmware/journal"
)

// picking picks the records that are wanted out of all.
type picking struct {
	choice    *choice
	last      uint64 // how many of them; 0 for all, which are put out as they come
	to        lister
	seen, fit int
	kept      []record        // the newest; a ring
	oldest    int             // its place in the ring
	noted     map[string]bool // the owner's notes that are recorded
	err       error
}

// take takes the next record, and reports whether to go on.
func (p *picking) take(e *journal.Entry, line []byte) bool {
	p.seen++
	if e.Note != nil {
		p.noted[e.Note.ID] = true
	}
	if !p.choice.fits(e) {
		return true
	}
	p.fit++
	if p.last == 0 {
		p.err = p.to.put(&record{*e, line})
		return p.err == nil
	}
	r := record{*e, bytes.Clone(line)}
	if uint64(len(p.kept)) < p.last {
		p.kept = append(p.kept, r)
	} else {
		p.kept[p.oldest] = r
		p.oldest = (p.oldest + 1) % len(p.kept)
	}
	return true
}

// rest puts out what was kept, oldest first.
func (p *picking) rest() error {
	for i := range p.kept {
		if err := p.to.put(&p.kept[(p.oldest+i)%len(p.kept)]); err != nil {
			return err
		}
	}
	return nil
}
