package plant

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// state is what can be seen and what is so.
type state struct {
	hal.Snapshot
	Truth
}

// faultRow is one fault, when it comes, and what must come of it. Well is the
// same plant without the fault at the same time.
type faultRow struct {
	name  string
	want  hal.Outputs
	after time.Duration // how long it has stood when it is judged
	set   func(*Faults)
	check func(t *testing.T, well, ill state)
	// only names the fields of the snapshot that may differ, where that is all
	// that the fault changes. The truth must be the same then.
	only []string
	// asleep says that nothing shows yet.
	asleep bool
}

func rpm(r hal.Reading[hal.RotationalSpeed]) float64 { return float64(r.Value) / float64(hal.RPM) }
func watt(s state) float64 {
	return float64(s.Snapshot.Meter.Watts.Value) / float64(physic.Watt)
}

var faultRows = slices.Concat(sensorRows, powerRows, deceivingRows, loadRows)

// runFault returns the demo tank with everything on for half a minute, then with
// the row's outputs for the row's time, well and with the row's fault.
func runFault(t *testing.T, row faultRow) (well, ill state) {
	t.Helper()
	c := demo(t)
	for i, s := range []*state{&well, &ill} {
		r := newRig(t, c, c.Workshop(11))
		r.want = busy
		r.run(30 * time.Second)
		if i == 1 {
			row.set(&r.Faults)
		}
		r.want = row.want
		r.run(row.after)
		s.Snapshot, s.Truth = r.see(), r.Truth()
	}
	return well, ill
}

func TestEachFaultChangesWhatItSays(t *testing.T) {
	for _, row := range faultRows {
		t.Run(row.name, func(t *testing.T) {
			well, ill := runFault(t, row)
			row.check(t, well, ill)
			assert.Equal(t, row.asleep, cmp.Equal(well, ill), "whether the fault changes nothing yet")
			if row.only != nil {
				require.Equal(t, well.Truth, ill.Truth, "it deceives the sensors only")
				assert.Empty(t, cmp.Diff(well.Snapshot, ill.Snapshot,
					cmpopts.IgnoreFields(hal.Snapshot{}, row.only...)))
			}
		})
	}
}

func TestHealthyPlantSaysSo(t *testing.T) {
	well, same := runFault(t, faultRow{want: emitting, after: 30 * time.Second, set: func(*Faults) {}})
	require.Equal(t, well, same)
	assert.Equal(t, hal.Contacts{LevelOK: hal.Closed, LidClosed: hal.Closed, StopClosed: hal.Closed,
		LeakDry: hal.Closed, ContactorAux: hal.Closed}, well.Contacts)
	assert.True(t, well.OutputsOK && well.RecordOK && well.KeptOK)
	for i := range 3 {
		assert.True(t, well.Probes[i].Valid)
	}
	assert.InDelta(t, 20.6, well.Probes[hal.BathA].Value.Celsius(), 0.6)
	assert.InDelta(t, 500, watt(well), 12)
}

func TestEveryFaultHasItsRow(t *testing.T) {
	var all Faults
	for _, row := range slices.Concat(faultRows, drivenRows) {
		row.set(&all)
	}
	fields := reflect.ValueOf(all)
	for i := range fields.NumField() {
		assert.False(t, fields.Field(i).IsZero(), "no row sets %s", fields.Type().Field(i).Name)
	}
}

func TestFaultThatGoesLeavesAWorkingPlant(t *testing.T) {
	c := demo(t)
	r := newRig(t, c, calm(c))
	r.want = emitting
	r.run(10 * time.Second)
	for _, row := range slices.Concat(faultRows, drivenRows) {
		row.set(&r.Faults)
	}
	// What is left out is the short: it blows a fuse, which stays so
	// (TestABlownFuseStaysBlown).
	r.Faults.BankShorted = [hal.MaxBanks]bool{}
	r.run(2 * time.Second)
	r.Faults = Faults{}
	r.run(30 * time.Second)
	s, truth := r.see(), r.Truth()
	assert.InDelta(t, 500, truth.TotalWatts, 0.1)
	assert.Equal(t, 500*physic.Watt, s.Meter.Watts.Value)
	assert.InDelta(t, 2600, rpm(s.Fans[0]), 30)
	assert.InDelta(t, truth.Bath-zero, s.Probes[hal.BathA].Value.Celsius(), 0.3)
	// The floor is mopped in the end.
	r.Faults.LeakRate = 1
	r.run(10 * time.Second)
	require.Equal(t, hal.Open, r.see().Contacts.LeakDry)
	r.Faults = Faults{}
	r.run(30 * time.Minute)
	assert.Equal(t, hal.Closed, r.see().Contacts.LeakDry)
}
