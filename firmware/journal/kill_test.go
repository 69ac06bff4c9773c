package journal

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/interlock"
)

// victim names, in the environment, the journal that this process is to write
// until it is killed.
const victim = "BATHTENDER_TEST_VICTIM"

func TestMain(m *testing.M) {
	if folder := os.Getenv(victim); folder != "" {
		writeUntilKilled(Folder(folder))
	}
	os.Exit(m.Run())
}

// writeUntilKilled writes records, windows and what is kept, and says on its
// standard output what is confirmed.
func writeUntilKilled(folder Folder) {
	h := &hand{}
	h.book, h.kept = Open(folder, aCabinet(), aDay)
	h.book.store.segmentMost = 20000
	for n := 0; ; n++ {
		h.kept.Record.Sessions++
		if n%10 == 0 {
			h.lockOut()
		} else {
			h.tick(tripped(interlock.AirflowLost, n%2, strings.Repeat("x", n%300)))
		}
		if !h.book.OK() {
			fmt.Println("bad", h.book.Why())
			continue
		}
		fmt.Println("ok", h.book.store.confirmed, h.kept.Record.Sessions)
	}
}

// A program that writes is killed at a random moment, two hundred times. The
// disk's cache outlives it; the power's going is TestThePowerGoesAtEveryOperation.
func TestKilledAtRandomMoments(t *testing.T) {
	kills := 200
	if testing.Short() {
		kills = 10
	}
	random := rand.New(rand.NewPCG(3, 3))
	folder := Folder(t.TempDir())
	require.NoError(t, Create(folder))
	confirmed, sessions := uint64(0), 0
	for n := range kills {
		if n%25 == 0 { // with a new journal the file of records stays short
			folder = Folder(t.TempDir())
			require.NoError(t, Create(folder))
			confirmed, sessions = 0, 0
		}
		seq, kept := kill(t, folder, time.Duration(random.IntN(30))*time.Millisecond)
		confirmed, sessions = max(confirmed, seq), max(sessions, kept)
		entries, damages, err := All(folder)
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(entries), int(confirmed), "kill %d", n)
		for i := range entries {
			require.Equal(t, uint64(i+1), entries[i].Seq)
		}
		for _, d := range damages {
			require.Contains(t, d.Text, "no record", "kill %d", n)
		}
		stored := readKept(t, folder)
		require.GreaterOrEqual(t, stored.Record.Sessions, sessions, "kill %d", n)
		require.LessOrEqual(t, stored.Record.Sessions, sessions+1, "kill %d", n)
		sessions = stored.Record.Sessions
	}
	assert.Positive(t, sessions, "something was written")
}

func readKept(t *testing.T, folder Folder) *Kept {
	b := Book{disk: folder}
	stored, err := b.readKept()
	require.NoError(t, err)
	return stored
}

// kill starts a program that writes, kills it, and returns what it had
// confirmed.
func kill(t *testing.T, folder Folder, after time.Duration) (seq uint64, sessions int) {
	command := exec.Command(os.Args[0])
	command.Env = append(os.Environ(), victim+"="+string(folder))
	out, err := command.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, command.Start())
	lines := bufio.NewReader(out)
	first, err := lines.ReadString('\n') // it has begun to write
	require.NoError(t, err)
	time.AfterFunc(after, func() { command.Process.Kill() })
	rest, err := io.ReadAll(lines)
	require.NoError(t, err)
	_ = command.Wait() // it was killed
	for _, line := range strings.Split(first+string(rest), "\n") {
		require.NotContains(t, line, "bad")
		fmt.Sscanf(line, "ok %d %d", &seq, &sessions)
	}
	require.NotZero(t, seq)
	return seq, sessions
}
