package onewire

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// tree is a folder with the files that Linux shows of a 1-Wire bus.
type tree struct {
	t    *testing.T
	root string
}

func newTree(t *testing.T) tree { return tree{t, t.TempDir()} }

func (r tree) write(name, text string) {
	path := filepath.Join(r.root, name)
	require.NoError(r.t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(r.t, os.WriteFile(path, []byte(text), 0o644))
}

func (r tree) text(name string) string {
	text, err := os.ReadFile(filepath.Join(r.root, name))
	require.NoError(r.t, err)
	return string(text)
}

// rig reads a tree with a clock of its own: a tenth of a second at each look.
type rig struct {
	*Thermometers
	now  time.Duration
	told []string
}

func newRig(root string, oldest time.Duration, probes ...Probe) *rig {
	r := &rig{}
	r.Thermometers = Kernel(root, Config{
		Probes: probes, Oldest: oldest,
		Clock: func() time.Duration { r.now += 100 * time.Millisecond; return r.now },
		Log:   func(s string) { r.told = append(r.told, s) },
	})
	return r
}

func (r *rig) rounds(n int) {
	for range n {
		r.round(context.Background())
	}
}

var (
	bathA = Probe{Name: "bath probe A", Address: "28-0000000a0001"}
	bathB = Probe{Name: "bath probe B", Address: "28-0000000b0002"}
)

func TestAProbeThroughTheKernel(t *testing.T) {
	files := newTree(t)
	r := newRig(files.root, 0, bathA)
	r.rounds(2)
	assert.Equal(t, []string{"bath probe A gives no reading: it is not on the bus"}, r.told)
	assert.Equal(t, hal.Reading[physic.Temperature]{}, r.Read(0, r.now))

	const file = "28-0000000a0001/temperature"
	files.write(file, "45125\n")
	files.write("28-0000000a0001/features", "0\n")
	r.rounds(3)
	assert.Equal(t, hal.Aged(milli(45125), 0), r.Read(0, r.now))
	assert.Equal(t, hal.Aged(milli(45125), time.Second), r.Read(0, r.now+time.Second))
	assert.Equal(t, "bath probe A works: 1-Wire digital thermometer 28-0000000a0001", r.told[len(r.told)-1])
	assert.Len(t, r.told, 2)
	assert.Equal(t, "1\n", files.text("28-0000000a0001/features"), "a failed conversion must not read as 85 degC")

	// Every failure is an empty file without an error. The last value grows old.
	files.write(file, "")
	was := r.now
	r.rounds(4)
	assert.Equal(t, hal.Aged(milli(45125), r.now-was), r.Read(0, r.now))
	assert.Equal(t, "bath probe A gives no reading: the kernel gives no value: no answer, a wrong checksum or a failed conversion", r.told[2])
	assert.Len(t, r.told, 3)

	// It comes back as another file. The value of a thermometer before its first
	// conversion is the interlock's to judge.
	require.NoError(t, os.Remove(filepath.Join(files.root, file)))
	files.write(file, "85000\n")
	r.rounds(3)
	assert.Equal(t, hal.Fresh(milli(85000)), r.Read(0, r.now))
	assert.Len(t, r.told, 4)
}

func TestAnOlderKernelShowsTheScratchpad(t *testing.T) {
	files := newTree(t)
	files.write("28-0000000a0001/w1_slave", slaveText)
	r := newRig(files.root, 0, bathA)
	r.rounds(1)
	assert.Equal(t, hal.Fresh(milli(23625)), r.Read(0, r.now))
}

func TestTheResolutionIsSet(t *testing.T) {
	files := newTree(t)
	files.write("28-0000000a0001/temperature", "45125\n")
	probe := bathA
	probe.Bits = 10
	r := newRig(files.root, 0, probe)
	r.rounds(1)
	assert.Equal(t, "bath probe A: the kernel does not tell its resolution, 10 bits are wanted", r.told[0])

	files.write("28-0000000a0001/resolution", "12\n")
	r = newRig(files.root, 0, probe)
	r.rounds(3)
	assert.Equal(t, "10\n", files.text("28-0000000a0001/resolution"))
	assert.Equal(t, "bath probe A has a resolution of 10 bits", r.told[0])
	assert.True(t, r.Read(0, r.now).Valid)

	// A thermometer that lost its power has lost its resolution too.
	files.write("28-0000000a0001/temperature", "")
	r.rounds(1)
	files.write("28-0000000a0001/temperature", "45125\n")
	files.write("28-0000000a0001/resolution", "12\n")
	r.rounds(1)
	assert.Equal(t, "10\n", files.text("28-0000000a0001/resolution"))
}

// readOnly is a file of the kernel that holds a number which nobody can change,
// root neither.
const readOnly = "/proc/sys/kernel/ngroups_max"

func TestAResolutionThatStays(t *testing.T) {
	number, err := os.ReadFile(readOnly)
	if err != nil {
		t.Skip("only Linux has a file that nobody can write to")
	}
	files := newTree(t)
	files.write("28-0000000a0001/temperature", "45125\n")
	require.NoError(t, os.Symlink(readOnly, filepath.Join(files.root, "28-0000000a0001/resolution")))
	probe := bathA
	probe.Bits = 12
	r := newRig(files.root, 0, probe)
	r.rounds(3)
	assert.Equal(t, fmt.Sprintf("bath probe A has a resolution of %s bits and cannot be set to the 12 bits that are wanted", strings.TrimSpace(string(number))), r.told[0])
	assert.True(t, r.Read(0, r.now).Valid, "a coarser reading is a reading")
}

// Three conversions in a row would take longer than a reading counts.
func TestOneConversionForTheWholeBus(t *testing.T) {
	files := newTree(t)
	for _, p := range []Probe{bathA, bathB} {
		files.write(p.Address+"/temperature", "45125\n")
		files.write("w1_bus_master1/"+p.Address+"/temperature", "45125\n")
	}
	files.write("w1_bus_master1/therm_bulk_read", "0\n")
	files.write("w1_bus_master2/therm_bulk_read", "0\n")
	r := newRig(files.root, 0, bathA, bathB)
	r.rounds(1)
	assert.Equal(t, "trigger\n", files.text("w1_bus_master1/therm_bulk_read"), "the kernel takes it with its line end only")
	assert.Equal(t, "0\n", files.text("w1_bus_master2/therm_bulk_read"), "none of ours is on it")
	for place := range 2 {
		// The clock was looked at once, before the conversion.
		assert.Equal(t, hal.Aged(milli(45125), 900*time.Millisecond), r.Read(place, time.Second))
	}
	// Without it each measures by itself, and from there its age counts.
	require.NoError(t, os.RemoveAll(filepath.Join(files.root, "w1_bus_master1")))
	files.write(bathB.Address+"/temperature", "")
	r.rounds(1)
	files.write(bathB.Address+"/temperature", "45125\n")
	r.rounds(3)
	assert.NotEqual(t, r.Read(0, r.now).Age, r.Read(1, r.now).Age)
}

// A thermometer that fails takes the kernel's tries, about a second, in which the
// others grow old.
func TestAFailingProbeIsAskedLessOften(t *testing.T) {
	files := newTree(t)
	files.write(bathA.Address+"/temperature", "45125\n")
	files.write(bathB.Address+"/temperature", "")
	r := newRig(files.root, 0, bathA, bathB)
	reads := &reads{of: r.source}
	r.source = reads
	r.rounds(8)
	assert.Equal(t, [2]int{8, 4}, reads.n, "each second time of two probes")
	files.write(bathB.Address+"/temperature", "45250\n")
	r.rounds(5)
	assert.Equal(t, hal.Aged(milli(45250), 0), r.Read(1, r.now))
}

type reads struct {
	of source
	n  [2]int
}

func (r *reads) convert(ctx context.Context) (bool, error) { return r.of.convert(ctx) }
func (r *reads) close()                                    { r.of.close() }
func (r *reads) read(ctx context.Context, i int) (physic.Temperature, error) {
	r.n[i]++
	return r.of.read(ctx, i)
}

func TestABusThatIsTooSlowIsTold(t *testing.T) {
	files := newTree(t)
	files.write(bathA.Address+"/temperature", "45125\n")
	r := newRig(files.root, 250*time.Millisecond, bathA)
	r.rounds(4)
	assert.Equal(t, "the 1-Wire bus is too slow: a reading becomes older than the 250ms that it may, fewer bits of resolution would help", r.told[1])
	r = newRig(files.root, 2500*time.Millisecond, bathA)
	r.rounds(4)
	assert.Equal(t, []string{r.told[0], "the 1-Wire bus is fast enough"}, r.told)
}

func TestThermometersAreListed(t *testing.T) {
	files := newTree(t)
	for _, name := range []string{"w1_bus_master1", "28-0000000b0002", "28-0000000a0001", "01-000000000001", "10-000800aabbcc"} {
		files.write(name+"/name", "")
	}
	found, err := List(files.root)
	require.NoError(t, err)
	assert.Equal(t, []string{"10-000800aabbcc", "28-0000000a0001", "28-0000000b0002"}, found)
	_, err = List(filepath.Join(files.root, "none"))
	assert.EqualError(t, err, fmt.Sprintf("there is no 1-Wire bus: folder %q cannot be read, allowed is a board whose 1-Wire bus is switched on", filepath.Join(files.root, "none")))
}

// The same beside a loop, with real time.
func TestStartAndClose(t *testing.T) {
	files := newTree(t)
	files.write(bathA.Address+"/temperature", "45125\n")
	begun := time.Now()
	thermometers := Kernel(files.root, Config{Probes: []Probe{bathA}, Clock: func() time.Duration { return time.Since(begun) }})
	require.NoError(t, thermometers.Close(), "not started")
	thermometers.Start(t.Context())
	assert.Eventually(t, func() bool { return thermometers.Read(0, time.Since(begun)).Valid }, time.Minute, time.Millisecond)
	require.NoError(t, thermometers.Close())
}

// A sample that works takes no memory: on a board with one core the collection of
// garbage delays the loop.
func TestASampleAllocatesNothing(t *testing.T) {
	r := wholeBus(t)
	ctx := context.Background()
	r.round(ctx)
	require.True(t, r.Read(2, r.now).Valid)
	assert.Zero(t, testing.AllocsPerRun(100, func() { r.round(ctx) }))
}

// wholeBus is three probes with one conversion.
func wholeBus(t testing.TB) *rig {
	root := t.TempDir()
	probes := []Probe{bathA, bathB, {Name: "the cabinet probe", Address: "28-0000000c0003"}}
	for _, p := range probes {
		for _, folder := range []string{p.Address, "w1_bus_master1/" + p.Address} {
			folder = filepath.Join(root, folder)
			require.NoError(t, os.MkdirAll(folder, 0o755))
			require.NoError(t, os.WriteFile(filepath.Join(folder, "temperature"), []byte("45125\n"), 0o644))
		}
	}
	require.NoError(t, os.WriteFile(filepath.Join(root, "w1_bus_master1/therm_bulk_read"), []byte("0\n"), 0o644))
	return newRig(root, 2500*time.Millisecond, probes...)
}

// BenchmarkRound samples three probes; the files stand for the kernel's, so what
// is missing is the time of the conversion.
func BenchmarkRound(b *testing.B) {
	r := wholeBus(b)
	ctx := context.Background()
	b.ReportAllocs()
	for b.Loop() {
		r.round(ctx)
	}
}
