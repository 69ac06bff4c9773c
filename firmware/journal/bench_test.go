package journal

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// anEntry is a record as most are.
func anEntry() Entry {
	return Entry{
		Wall: Wall{aDay}, Mono: Seconds(time.Hour), Boot: 17, Program: "0.1.0", Machine: "0123456789abcdef", Kind: TripKind,
		Text: "fan 2 at 310 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped", Recipe: "heavy",
		Trip: &Trip{Function: "airflow lost", Place: 2, FirstOut: true, Window: "trip-0000000017.csv"},
	}
}

// BenchmarkAppend makes one record durable, its number in the second file too.
func BenchmarkAppend(b *testing.B) {
	folder := Folder(b.TempDir())
	require.NoError(b, Create(folder))
	s := store{disk: folder}
	_, _, err := s.open()
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		e := anEntry()
		require.NoError(b, s.take(&e))
		require.NoError(b, s.flush())
	}
}

// BenchmarkAppendToAnEmbeddedStore does the same in a well-known key-value
// store, with its own durable commit.
func BenchmarkAppendToAnEmbeddedStore(b *testing.B) {
	db, err := bbolt.Open(filepath.Join(b.TempDir(), "store"), 0o600, nil)
	require.NoError(b, err)
	defer db.Close()
	require.NoError(b, db.Update(func(tx *bbolt.Tx) error {
		_, err := tx.CreateBucket([]byte("records"))
		return err
	}))
	b.ReportAllocs()
	for n := uint64(1); b.Loop(); n++ {
		e := anEntry()
		e.Seq = n
		line, err := appendLine(nil, &e)
		require.NoError(b, err)
		key := []byte{byte(n >> 56), byte(n >> 48), byte(n >> 40), byte(n >> 32), byte(n >> 24), byte(n >> 16), byte(n >> 8), byte(n)}
		require.NoError(b, db.Update(func(tx *bbolt.Tx) error { return tx.Bucket([]byte("records")).Put(key, line) }))
	}
}

// BenchmarkKept stores what must survive, whole.
func BenchmarkKept(b *testing.B) {
	folder := Folder(b.TempDir())
	require.NoError(b, Create(folder))
	line, err := appendLine(nil, keptOf(supervisor.Kept{}, 1, 1))
	require.NoError(b, err)
	for b.Loop() {
		require.NoError(b, folder.Replace(keptName, line))
	}
}

// BenchmarkTick is what the journal costs the loop and its writer at a tick at
// which nothing happens.
func BenchmarkTick(b *testing.B) {
	disk := newPowerDisk()
	require.NoError(b, Create(disk))
	book, kept := Open(disk, aCabinet(), aDay)
	w := NewWatch(supervisor.New(supervisor.Config{}, kept))
	var snapshot hal.Snapshot
	b.ReportAllocs()
	var item Item
	for b.Loop() {
		snapshot.Time += tick
		item = w.Tick(aDay, &snapshot, hal.Request{}, hal.Outputs{}, nil)
		book.Take(&item)
	}
}

// BenchmarkTrip records a trip with its window up to then: what a trip costs the
// writer.
func BenchmarkTrip(b *testing.B) {
	folder := Folder(b.TempDir())
	h := begin(b, folder)
	h.run(Before)
	for b.Loop() {
		h.book.window = nil
		h.tick(tripped(interlock.AirflowLost, 1, "fan 2"))
	}
}

// BenchmarkRead reads a journal of a thousand records.
func BenchmarkRead(b *testing.B) {
	disk := newPowerDisk()
	require.NoError(b, Create(disk))
	s := store{disk: disk}
	_, _, err := s.open()
	require.NoError(b, err)
	for range 1000 {
		e := anEntry()
		require.NoError(b, s.take(&e))
		require.NoError(b, s.flush())
	}
	b.ReportAllocs()
	for b.Loop() {
		entries, damages, err := All(disk)
		require.NoError(b, err)
		require.Empty(b, damages)
		require.Len(b, entries, 1000)
	}
}
