package modbus

import (
	"context"
	"errors"
	"time"
)

// client asks one meter. One goroutine uses it.
type client struct {
	port    Port
	address byte
	timing  Timing
	clock   func() time.Duration

	out   [requestSize]byte
	in    [bufferSize]byte
	scrap [64]byte // apart from the answer that stands in in
	// last is the number of registers asked for last.
	last int
	// failures in a row, for which the silences become longer.
	failures int
	// doubtful is set from a failure until an answer was thrown away.
	doubtful bool
}

// silenceMost is how many times the lateness the longest silence is.
const silenceMost = 4

// slice is the longest wait that is not looked up from.
const slice = 100 * time.Millisecond

var errNotQuiet = errors.New("the line does not become quiet")

// read returns the registers of a block, two bytes each, good until the next
// call, and the time of the clock before the request that they answer. The error
// is one of this package, a Refusal, or the port's.
func (c *client) read(ctx context.Context, b *block) ([]byte, time.Duration, error) {
	if c.doubtful {
		// Whatever is answered now may answer something else.
		if _, _, err := c.once(ctx, b); err != nil {
			return nil, 0, err
		}
		c.doubtful = false
	}
	return c.once(ctx, b)
}

// once makes one request. It asks for some registers more than the block has
// where the request before asked for as many as that.
func (c *client) once(ctx context.Context, b *block) ([]byte, time.Duration, error) {
	count := b.count
	if count == c.last && b.more > 0 {
		count += b.more
	}
	words, at, err := c.exchange(ctx, request{c.address, b.table, b.first, count})
	if refusal, is := refused(err); is && refusal.shape() && count != b.count {
		// The registers behind the block are not to be had: never again.
		b.more = 0
		words, at, err = c.exchange(ctx, request{c.address, b.table, b.first, b.count})
	}
	if err != nil {
		return nil, 0, err
	}
	return words[:2*b.count], at, nil
}

// exchange sends a request and waits for its answer. After a failure it is silent
// until nothing can be on its way any more.
func (c *client) exchange(ctx context.Context, r request) ([]byte, time.Duration, error) {
	if err := c.quiet(ctx, c.timing.Gap()); err != nil {
		return nil, 0, err
	}
	c.last = r.count
	at := c.clock()
	words, refusal, err := c.ask(r)
	switch {
	case errors.Is(err, errSilent), errors.Is(err, errGarbled), errors.Is(err, errForeign):
		return nil, 0, errors.Join(err, c.settle(ctx))
	case err != nil:
		return nil, 0, err
	}
	// Noise right behind an answer belongs to it.
	if err := c.discard(c.timing.Gap()); err != nil {
		return nil, 0, err
	}
	c.failures = 0
	if words == nil {
		return nil, 0, refusal
	}
	return words, at, nil
}

// ask sends a request and waits for its answer, no longer than it may take.
func (c *client) ask(r request) ([]byte, Refusal, error) {
	c.out = r.frame()
	if err := c.port.Flush(); err != nil {
		return nil, 0, err
	}
	onLine := c.timing.characters(requestSize + 5 + 2*r.count)
	end := c.clock() + c.timing.Timeout + onLine
	if err := c.port.Write(c.out[:], c.timing.Timeout+onLine); err != nil {
		return nil, 0, err
	}
	n := 0
	for {
		wait := end - c.clock()
		if wait <= 0 || n == len(c.in) {
			return nil, 0, judge(c.in[:n])
		}
		got, err := c.port.Read(c.in[n:], wait)
		if err != nil {
			return nil, 0, err
		}
		n += got
		if words, refusal, done := r.find(c.in[:n]); done {
			return words, refusal, nil
		}
	}
}

// settle is the silence after a failure.
func (c *client) settle(ctx context.Context) error {
	c.doubtful = true
	c.failures++
	return c.listen(ctx, c.timing.Lateness*time.Duration(min(c.failures, silenceMost)))
}

// quiet waits for a silence before a request. A whole frame that comes in then
// was not asked for and makes a failure; a few bytes are noise.
func (c *client) quiet(ctx context.Context, silence time.Duration) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	for sum := 0; ; {
		n, err := c.port.Read(c.in[:], silence)
		if err != nil || n == 0 {
			return err
		}
		if sum += n; sum > noiseMost {
			return errors.Join(errForeign, c.settle(ctx))
		}
	}
}

// listen throws away what comes in until nothing has for the given time.
func (c *client) listen(ctx context.Context, silence time.Duration) error {
	give := c.clock() + 10*silence
	for end := c.clock() + silence; ; {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		now := c.clock()
		switch {
		case now >= end:
			return nil
		case now >= give:
			return errNotQuiet
		}
		n, err := c.port.Read(c.in[:], min(end-now, slice))
		if err != nil {
			return err
		}
		if n > 0 {
			end = c.clock() + silence
		}
	}
}

// discard throws away what follows an answer without a gap.
func (c *client) discard(gap time.Duration) error {
	for range 8 { // an answer's tail is not longer than some bytes
		n, err := c.port.Read(c.scrap[:], gap)
		if err != nil || n == 0 {
			return err
		}
	}
	return nil
}
