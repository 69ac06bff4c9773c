package whatif

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

func tripped(f interlock.Function, place int, text string) Decision {
	e := interlock.Event{Kind: interlock.Tripped, Function: f, Place: uint8(place)}
	return Decision{Events: []supervisor.Event{{Interlock: e}}, Text: []string{text}}
}

func emitting() Decision {
	return Decision{Outputs: hal.Outputs{Contactor: true, Fans: true, Banks: 0b111, FeedWatchdog: true, Lamp: true}}
}

func (d Decision) with(other Decision) Decision {
	d.Events, d.Text = other.Events, other.Text
	return d
}

func TestTheSameDecisions(t *testing.T) {
	c := Comparison{Banks: 3}
	for i := range 10 {
		was, is := emitting(), emitting()
		is.Outputs.Heartbeat = i%2 == 0 // says nothing
		c.Tick(time.Duration(i)*time.Second, &was, &is)
	}
	assert.Empty(t, c.Spans())
	assert.Empty(t, c.Functions())
	assert.Equal(t, "With b.toml all 10 rows would have been decided as they were.", c.Sentence("b.toml"))
}

func TestATripThatComesLater(t *testing.T) {
	c := Comparison{Banks: 3}
	trip := tripped(interlock.AirflowLost, 1, "fan 2 is slow")
	for i := range 10 {
		was, is := emitting(), emitting()
		if i >= 4 {
			was.Outputs = hal.Outputs{Fans: true}
		}
		if i == 4 {
			was = was.with(trip)
		}
		if i >= 6 {
			is.Outputs = hal.Outputs{Fans: true}
		}
		if i == 6 {
			is = is.with(trip)
		}
		c.Tick(time.Duration(i)*time.Second, &was, &is)
	}
	spans := c.Spans()
	assert.Len(t, spans, 1)
	assert.Equal(t, 2, spans[0].Rows)
	assert.Equal(t, 4*time.Second, spans[0].From)
	assert.Equal(t, 5*time.Second, spans[0].To)
	assert.Equal(t, "contactor off, would be on; banks 000, would be 111; watchdog off, would be on; lamp off, would be on", spans[0].Text(c.Banks))
	assert.Equal(t, []string{"airflow lost (fan 2): acted at 0:00:04, would act at 0:00:06, 2.0 s later"}, c.Functions())
	assert.Equal(t, []Line{{At: 4 * time.Second, Was: true, Text: "fan 2 is slow"}, {At: 6 * time.Second, Is: true, Text: "fan 2 is slow"}}, c.Story())
	assert.Equal(t, `With b.toml "airflow lost (fan 2)" would have acted 2.0 s later, at 0:00:06, and 2 of 10 rows would have been decided otherwise.`, c.Sentence("b.toml"))
}

func TestOneActsAndTheOtherDoesNot(t *testing.T) {
	none, trip := Decision{}, tripped(interlock.LevelLow, 0, "low")
	was := Comparison{}
	was.Tick(time.Second, &trip, &none)
	assert.Equal(t, []string{"level low: acted at 0:00:01, would not act (low)"}, was.Functions())
	assert.Equal(t, `With b.toml "level low" would not have acted at 0:00:01, and 0 of 1 rows would have been decided otherwise.`, was.Sentence("b.toml"))
	is := Comparison{}
	is.Tick(time.Second, &none, &trip)
	assert.Equal(t, []string{"level low: did not act, would act at 0:00:01 (low)"}, is.Functions())
	assert.Equal(t, `With b.toml "level low" would have acted at 0:00:01, and 0 of 1 rows would have been decided otherwise.`, is.Sentence("b.toml"))
	both := Comparison{}
	both.Tick(time.Second, &trip, &trip)
	assert.Equal(t, []string{"level low: acts at 0:00:01 in both"}, both.Functions())
	assert.Equal(t, []Line{{At: time.Second, Was: true, Is: true, Text: "low"}}, both.Story())
	heated := trip
	heated.Outputs.Heater = true
	both.Tick(2*time.Second, &trip, &heated)
	assert.Equal(t, "With b.toml the same functions would have acted at the same times, and 1 of 2 rows would have been decided otherwise.", both.Sentence("b.toml"))
}

// Of several that act otherwise the earliest is named, whichever of the two it
// acts in.
func TestTheEarliestIsNamed(t *testing.T) {
	none, low, leak := Decision{}, tripped(interlock.LevelLow, 0, "low"), tripped(interlock.Leak, 0, "leak")
	c := Comparison{}
	c.Tick(1*time.Second, &none, &leak)
	c.Tick(2*time.Second, &low, &none)
	c.Tick(3*time.Second, &leak, &low)
	assert.Contains(t, c.Sentence("b.toml"), `"leak" would have acted 2.0 s earlier, at 0:00:01`)
	assert.Len(t, c.Functions(), 2)
}
