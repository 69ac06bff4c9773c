package journal

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/interlock"
)

func TestARunIsRecorded(t *testing.T) {
	disk := newPowerDisk()
	h := begin(t, disk)
	h.run(2 * time.Second)
	h.start()
	h.run(time.Minute)
	h.tick(tripped(interlock.AirflowLost, 1, "fan 2 at 310 rpm"))
	h.end()
	h.run(70 * time.Second)
	h.lockOut()
	h.run(70 * time.Second)
	h.reset()
	require.NoError(t, h.book.Close(aDay.Add(h.now)))
	entries := all(t, disk)
	assert.Equal(t, []string{
		"1 boot: the program starts for the 1st time",
		"2 start: session begins",
		"3 trip: fan 2 at 310 rpm",
		"4 session: session ends; 1.0 min, 0.0 min of emission, 6 Wh",
		"5 baselines: what health keeps after this session",
		"6 lockout: the bath is too hot",
		"7 reset: bath high limit has been reset",
		"8 shutdown: the program ends in order",
	}, texts(entries))
	trip := entries[2]
	assert.Equal(t, uint32(1), trip.Boot)
	assert.Equal(t, "0.1.0", trip.Program)
	assert.Equal(t, "0123456789abcdef", trip.Machine)
	assert.Equal(t, 62200*time.Millisecond, trip.Mono.Duration())
	assert.Equal(t, aDay.Add(62200*time.Millisecond), trip.Wall.Time)
	assert.Equal(t, "airflow lost", trip.Trip.Function)
	assert.Equal(t, 2, trip.Trip.Place)
	assert.True(t, trip.Trip.FirstOut)
	assert.Equal(t, "trip-0000000003.csv", trip.Trip.Window)
	assert.Contains(t, string(trip.Trip.Readings), `"bath_a_degC":6.22,`)
	assert.Equal(t, 1, entries[3].Session.Trips["airflow lost (fan 2)"])
}

func TestTheNextRunKnowsHowTheLastOneEnded(t *testing.T) {
	disk := newPowerDisk()
	begin(t, disk).start()
	begin(t, disk).run(time.Second)
	h := begin(t, disk)
	h.run(time.Second)
	require.NoError(t, h.book.Close(aDay))
	begin(t, disk)
	var boots []string
	for _, e := range all(t, disk) {
		if e.Kind == BootKind {
			boots = append(boots, e.Text)
		}
	}
	const gone = "; the run before did not end in order: the power went, or the program was killed"
	assert.Equal(t, []string{
		"the program starts for the 1st time",
		`the program starts for the 2nd time` + gone + `, during a session of "gentle"`,
		"the program starts for the 3rd time" + gone,
		"the program starts for the 4th time",
	}, boots)
}
