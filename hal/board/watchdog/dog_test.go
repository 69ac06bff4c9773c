package watchdog

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal/quantity"
)

// fake is a watchdog device that keeps what was done to it.
type fake struct {
	stopsAnyhow bool
	least       int // seconds, of those that it can be set to
	fault       error
	done        string
}

func (f *fake) write(b []byte) error {
	for _, c := range b {
		f.done += map[byte]string{'V': "stop ", 0: "feed "}[c]
	}
	return f.fault
}

func (f *fake) stopsOnlyOnRequest() (bool, error) { return !f.stopsAnyhow, f.fault }

func (f *fake) setTimeout(seconds int) (int, error) {
	f.done += "set "
	return max(seconds, f.least), f.fault
}

func (f *fake) close() error {
	f.done += "close "
	return f.fault
}

func TestAnOrderlyLife(t *testing.T) {
	f := &fake{}
	dog, err := start("/dev/watchdog", f, 2*time.Second)
	require.NoError(t, err)
	assert.Equal(t, 2*time.Second, dog.Timeout())
	assert.NoError(t, dog.Feed())
	assert.NoError(t, dog.Feed())
	assert.NoError(t, dog.Close())
	assert.NoError(t, dog.Close(), "twice")
	assert.Equal(t, "set feed feed stop close ", f.done)
	assert.EqualError(t, dog.Feed(), "the watchdog at /dev/watchdog cannot be fed: it was closed")
	assert.Equal(t, "set feed feed stop close ", f.done, "nothing is written to a descriptor that may be another file by now")
}

func TestAWatchdogThatWillNotDo(t *testing.T) {
	f := &fake{stopsAnyhow: true}
	_, err := start("/dev/watchdog", f, 2*time.Second)
	assert.EqualError(t, err, "the watchdog at /dev/watchdog stops when its program dies, allowed is one that only stops on request")
	assert.Equal(t, "stop close ", f.done, "its timer ran from the moment it was opened")

	f = &fake{least: 10}
	_, err = start("/dev/watchdog", f, 2*time.Second)
	assert.EqualError(t, err, "the watchdog at /dev/watchdog was set to 2 s and took 10 s, allowed is a time that it has")
	assert.Equal(t, "set stop close ", f.done)
}

func TestAWatchdogThatFails(t *testing.T) {
	f := &fake{}
	dog, err := start("/dev/watchdog", f, 2*time.Second)
	require.NoError(t, err)
	f.fault = errors.New("input/output error")
	assert.EqualError(t, dog.Feed(), "the watchdog at /dev/watchdog cannot be fed: input/output error")
	assert.EqualError(t, dog.Close(), "the watchdog at /dev/watchdog cannot be stopped, and may reset the board within 2 s: input/output error\ninput/output error")
	assert.Equal(t, "set feed stop close ", f.done)
}

func TestTimeoutsThatAreAllowed(t *testing.T) {
	assert.NoError(t, Allowed(time.Second))
	assert.NoError(t, Allowed(15*time.Second))
	for _, wrong := range []time.Duration{0, -time.Second, 999 * time.Millisecond, 1500 * time.Millisecond} {
		assert.EqualError(t, Allowed(wrong), "the watchdog's timeout of "+quantity.FormatDuration(wrong)+" is not in whole seconds, allowed are 1 s and more")
	}
}

func TestFeedingAllocatesNothing(t *testing.T) {
	dog, err := start("/dev/watchdog", &quiet{}, time.Second)
	require.NoError(t, err)
	assert.Zero(t, testing.AllocsPerRun(100, func() { _ = dog.Feed() }))
}

// quiet is a device that keeps nothing.
type quiet struct{}

func (*quiet) write([]byte) error                { return nil }
func (*quiet) stopsOnlyOnRequest() (bool, error) { return true, nil }
func (*quiet) setTimeout(s int) (int, error)     { return s, nil }
func (*quiet) close() error                      { return nil }
