package drive_test

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"flag"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/recipe"
	"bathtender/hal"
)

var update = flag.Bool("update", false, "write the digest anew; say in the commit why it changed")

const digestFile = "testdata/digest.txt"

// The digest is SHA-256 over every snapshot, output, estimate and sentence of
// the session below, and over what is really the case in the plant. It must be the same on amd64, arm64 and armv6: .ci/run
// runs this test under user-mode emulation. It changes with every change of
// plant, supervisor, demo machine or recipe; what it may never do is differ
// between two processors.
func TestSessionHasTheDigestOnEveryProcessor(t *testing.T) {
	got := digest(t)
	if *update {
		require.NoError(t, os.WriteFile(digestFile, []byte(got+"\n"), 0o644))
	}
	want, err := os.ReadFile(digestFile)
	require.NoError(t, err)
	assert.Equal(t, strings.TrimSpace(string(want)), got,
		"where plant or supervisor were changed on purpose: go test ./sim/drive -run Digest -update")
}

// digest drives the demo tank from a warm bath through a heating, an emission,
// a turn-over and the end of a session, with faults that shake plant, health and
// interlock on the way.
func digest(t *testing.T) string {
	s, start := newSession(t)
	sum := sha256.New()
	var bytes []byte
	var seen [recipe.PhaseCount]bool
	for range 36000 { // an hour
		request := hal.Request{}
		f := &s.Plant.Faults
		switch s.Now() {
		case 5 * time.Second:
			request = start
		case 10 * time.Minute: // in preheat
			f.MainsVolts, f.ProbeOffset[hal.BathB] = 218, 0.5
		case 20 * time.Minute:
			f.MainsVolts, f.PourRate = 0, 0.05
		case 28 * time.Minute:
			f.PourRate, f.AirInletBlocked, f.BankDrift[2] = 0, 0.5, -0.15
		case 40 * time.Minute: // with emission
			f.EmittersDead[4] = 1
		}
		status := s.Supervisor.Status()
		if status.Phase == recipe.TurnOver {
			request = start
		}
		require.NoError(t, s.Tick(request))
		var err error
		bytes, err = binary.Append(bytes[:0], binary.LittleEndian, s.Snapshot)
		require.NoError(t, err)
		bytes, err = binary.Append(bytes, binary.LittleEndian, s.Outputs)
		require.NoError(t, err)
		status = s.Supervisor.Status()
		bytes, err = binary.Append(bytes, binary.LittleEndian, status.Estimates)
		require.NoError(t, err)
		// Readings are rounded; only the truth shows the last bit.
		bytes, err = binary.Append(bytes, binary.LittleEndian, s.Plant.Truth())
		require.NoError(t, err)
		seen[status.Phase] = true
		for _, e := range s.Events {
			bytes = append(bytes, s.Supervisor.Sentence(e)...)
		}
		sum.Write(bytes)
	}
	for p := range recipe.PhaseCount {
		assert.True(t, seen[p], "the digest must cover %s", p)
	}
	return hex.EncodeToString(sum.Sum(nil))
}
