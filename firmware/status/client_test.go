package status_test

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/status"
	"bathtender/firmware/status/example"
)

func stand(t *testing.T) (*example.Program, string) {
	path := filepath.Join(t.TempDir(), "status.sock")
	p, err := example.Listen(path, example.Clean())
	require.NoError(t, err)
	t.Cleanup(p.Close)
	return p, path
}

func TestAViewSurvivesTheSocket(t *testing.T) {
	p, path := stand(t)
	c, err := status.Dial(path)
	require.NoError(t, err)
	defer c.Close()
	for range 2 { // a second question on the same call
		v, err := c.Status()
		require.NoError(t, err)
		assert.Equal(t, example.Clean(), v)
	}
	assert.Equal(t, []string{`{"ask":"status"}`, `{"ask":"status"}`}, p.Asked())
}

func TestWatchBringsOneViewAfterTheOther(t *testing.T) {
	p, path := stand(t)
	c, err := status.Dial(path)
	require.NoError(t, err)
	enough := errors.New("enough")
	var phases []string
	err = c.Watch(context.Background(), func(v status.View) error {
		if len(phases) == 0 || phases[len(phases)-1] != v.Session.Phase {
			phases = append(phases, v.Session.Phase)
		}
		switch v.Session.Phase {
		case "clean":
			p.Show(example.Tripped())
		case "run-on":
			return enough
		}
		return nil
	})
	assert.ErrorIs(t, err, enough)
	assert.Equal(t, []string{"clean", "run-on"}, phases)
	assert.Equal(t, []string{`{"ask":"watch"}`}, p.Asked())
}

func TestTheContextEndsAWatch(t *testing.T) {
	_, path := stand(t)
	c, err := status.Dial(path)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	err = c.Watch(ctx, func(status.View) error { stop(); return nil })
	assert.ErrorIs(t, err, context.Canceled)
}

func TestNobodyAnswers(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none.sock")
	_, err := status.Dial(path)
	assert.EqualError(t, err, "nobody answers at "+path+": is the program running?")
}

func TestWhatIsNoViewIsSaid(t *testing.T) {
	long := `{"format":1,"machine":"` + strings.Repeat("x", 1<<20) + `"}` + "\n"
	for line, want := range map[string]string{
		`{"error":"too many are watching: 17, allowed are 16"}` + "\n": "says: too many are watching: 17, allowed are 16",
		"hello\n":                 "has sent \"hello\", which is no view of a tank",
		"{}\n":                    "its format is 0, allowed is 1",
		"\n":                      "has sent \"\", which is no view of a tank",
		`{"format":2}` + "\n":     "has sent a view of format 2, known here is 1",
		`{"format":"one"}` + "\n": "which is no view of a tank",
		`{"format":1,"bath":{"a_degC":NaN}}` + "\n": "which is no view of a tank",
		long: "has sent a line of more than 1048576 bytes, allowed are 1048576",
	} {
		p, path := stand(t)
		p.Send(line)
		c, err := status.Dial(path)
		require.NoError(t, err)
		_, err = c.Status()
		require.Error(t, err)
		assert.Contains(t, err.Error(), want)
		assert.Contains(t, err.Error(), "the program at "+path)
		assert.Less(t, len(err.Error()), 500)
		assert.NotContains(t, err.Error(), "\n")
		c.Close()
	}
}

func TestALineThatIsCutShort(t *testing.T) {
	p, path := stand(t)
	p.Send(`{"format":1,`)
	c, err := status.Dial(path)
	require.NoError(t, err)
	go func() {
		for len(p.Asked()) == 0 {
			time.Sleep(time.Millisecond)
		}
		p.Close()
	}()
	err = c.Watch(context.Background(), func(status.View) error { t.Error("that was no view"); return nil })
	assert.ErrorContains(t, err, "has hung up")
}

// FuzzParse: whatever comes over the socket is a view or a sentence.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{`{"format":1}`, `{"error":"no"}`, `{"format":1,"banks":[{"bank":1,"W":null}]}`, "", "[]", "null"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, line []byte) {
		v, err := status.Parse(line)
		if err == nil && v.Format != 1 {
			t.Errorf("a view of format %d", v.Format)
		}
		if err != nil && (err.Error() == "" || v.Format != 0) {
			t.Errorf("%q with a view of format %d", err, v.Format)
		}
	})
}
