package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"modernc.org/sqlite"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// tick is a clock that goes on a second each time it is asked.
func tick() func() time.Time {
	var mu sync.Mutex
	now := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		now = now.Add(time.Second)
		return now
	}
}

func open(t testing.TB, dir string) *Store {
	t.Helper()
	s, err := Open(context.Background(), dir, tick())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// fact is a synthetic reading with a key made of two numbers.
func fact(t testing.TB, stream string, a, b int) entry.Entry {
	t.Helper()
	key := entry.Key{0: 1, 4: byte(a >> 8), 5: byte(a), 12: byte(b >> 24), 13: byte(b >> 16), 14: byte(b >> 8), 15: byte(b)}
	e, err := entry.New(stream, key, entry.Reading, "p-1", "bench-1", 1_700_000_000_000_000+int64(b), job.ReadingV1{
		Position: fmt.Sprintf("block/bore/%d/H%d/T", b%5+1, b%40+1), State: job.Found, Typed: "83,012", Value: "83.012", Unit: "mm",
		Gauge: "g-1", Master: "g-2", PartTemp: "20.5", GaugeTemp: "20.5"})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func facts(t testing.TB, stream string, a, from, to int) []entry.Entry {
	var out []entry.Entry
	for i := from; i < to; i++ {
		out = append(out, fact(t, stream, a, i))
	}
	return out
}

func mustAppend(t testing.TB, s *Store, e ...entry.Entry) []entry.Receipt {
	t.Helper()
	r, err := s.Append(context.Background(), e)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func key(err error) string {
	var f *fault.Fault
	if errors.As(err, &f) {
		return f.Key
	}
	if l := (fault.List)(nil); errors.As(err, &l) && len(l) > 0 {
		return l[0].Key
	}
	return fmt.Sprint(err)
}

// raw is a second way to the file, as a stranger with a database program has it.
func raw(t testing.TB, dir string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, "fettle.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func TestReceipts(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	ctx := context.Background()
	first := mustAppend(t, s, facts(t, "job/1", 1, 0, 3)...)
	second := mustAppend(t, s, fact(t, entry.ShopStream, 2, 0), fact(t, "job/1", 1, 3))
	rows, err := s.Rows(ctx, "job/1", 1)
	if err != nil || len(rows) != 4 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	head, err := entry.Chain(rows)
	if err != nil {
		t.Fatal(err)
	}
	receipts := append(first, second[1])
	for i, r := range rows {
		want := fact(t, "job/1", 1, i)
		if !r.Same(&want) || receipts[i] != (entry.Receipt{Stream: "job/1", Seq: int64(i + 1), Head: r.Hash.String()}) {
			t.Errorf("row %d: %+v with receipt %+v", i, r, receipts[i])
		}
		if err := s.Holds(ctx, receipts[i]); err != nil {
			t.Error(err)
		}
	}
	if rows[0].Received != rows[2].Received || rows[3].Received != rows[0].Received+1e6 {
		t.Errorf("received %d, %d, %d", rows[0].Received, rows[2].Received, rows[3].Received)
	}
	if second[0].Seq != 1 {
		t.Errorf("the shop's first entry has sequence %d", second[0].Seq)
	}
	if h, err := s.Head(ctx, "job/1"); err != nil || h != (Head{"job/1", 4, head}) {
		t.Errorf("head %+v, %v", h, err)
	}
	if h, err := s.Head(ctx, "job/none"); err != nil || h != (Head{Stream: "job/none"}) {
		t.Errorf("head of nothing %+v, %v", h, err)
	}
	if tail, err := s.Rows(ctx, "job/1", 4); err != nil || len(tail) != 1 || tail[0].Seq != 4 {
		t.Errorf("rows from 4: %v, %v", tail, err)
	}
	streams, err := s.Streams(ctx)
	if err != nil || len(streams) != 2 || streams[0].Stream != "job/1" || streams[0].Hash != head || streams[1].Stream != "shop" || streams[1].Seq != 1 {
		t.Errorf("streams %+v, %v", streams, err)
	}
	verified, err := s.Verify(ctx)
	if d := cmp.Diff(streams, verified); err != nil || d != "" {
		t.Errorf("%v %s", err, d)
	}

	// All of it is there again after closing.
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = open(t, dir)
	again, err := s.Rows(ctx, "job/1", 1)
	if d := cmp.Diff(rows, again); err != nil || d != "" {
		t.Errorf("%v %s", err, d)
	}
}

func TestSameKey(t *testing.T) {
	s := open(t, t.TempDir())
	ctx := context.Background()
	e := fact(t, "job/1", 1, 0)
	first := mustAppend(t, s, e)
	mustAppend(t, s, fact(t, "job/1", 1, 1))
	if again := mustAppend(t, s, e); again[0] != first[0] {
		t.Errorf("the second receipt is %+v, the first %+v", again[0], first[0])
	}
	twice := mustAppend(t, s, fact(t, "job/1", 1, 2), e, fact(t, "job/1", 1, 2))
	if twice[0] != twice[2] || twice[1] != first[0] || twice[0].Seq != 3 {
		t.Errorf("twice in one write: %+v", twice)
	}
	for name, change := range map[string]func(*entry.Entry){
		"payload": func(e *entry.Entry) { e.Payload = []byte(`{"text":"x"}`) },
		"stream":  func(e *entry.Entry) { e.Stream = "job/2" },
		"kind":    func(e *entry.Entry) { e.Kind = entry.Remark },
		"version": func(e *entry.Entry) { e.Version = 2 },
		"person":  func(e *entry.Entry) { e.Person = "p-2" },
		"device":  func(e *entry.Entry) { e.Device = "bench-2" },
		"time":    func(e *entry.Entry) { e.Time++ },
	} {
		other := e
		change(&other)
		_, err := s.Append(ctx, []entry.Entry{fact(t, "job/3", 9, 9), other})
		if f := (*fault.Fault)(nil); !errors.As(err, &f) || f.Key != "store.key-taken" || f.Code != fault.Conflict || f.Path != "entries[1]" {
			t.Errorf("another %s: %v", name, err)
		}
	}
	heads, err := s.Verify(ctx)
	if err != nil || len(heads) != 1 || heads[0].Seq != 3 {
		t.Errorf("after the conflicts: %+v, %v", heads, err)
	}
}

func TestAllOrNothing(t *testing.T) {
	s := open(t, t.TempDir())
	ctx := context.Background()
	mustAppend(t, s, fact(t, "job/1", 1, 0))
	bad := fact(t, "job/1", 1, 3)
	bad.Time = 0
	for name, last := range map[string]entry.Entry{"no time": bad, "key taken": {Stream: "job/1", Key: fact(t, "job/1", 1, 0).Key,
		Kind: entry.Remark, Version: 1, Time: 1, Payload: []byte(`{}`)}} {
		if _, err := s.Append(ctx, append(facts(t, "job/1", 1, 1, 3), last)); err == nil {
			t.Errorf("%s: taken", name)
		}
		if rows, err := s.Rows(ctx, "job/1", 1); err != nil || len(rows) != 1 {
			t.Errorf("%s: %d rows remain, %v", name, len(rows), err)
		}
	}
	if r := mustAppend(t, s, fact(t, "job/1", 1, 5)); r[0].Seq != 2 {
		t.Errorf("the next sequence is %d", r[0].Seq)
	}
	if r, err := s.Append(ctx, nil); r != nil || err != nil {
		t.Errorf("nothing: %v, %v", r, err)
	}
	done, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := s.Append(done, facts(t, "job/1", 1, 6, 7)); !errors.Is(err, context.Canceled) {
		t.Errorf("a caller who left: %v", err)
	}
	if s.Halted() != nil {
		t.Errorf("halted: %v", s.Halted())
	}
}

// Law: writers at once leave sequences without gaps, and each receipt is its own.
func TestWritersAtOnce(t *testing.T) {
	s := open(t, t.TempDir())
	ctx := context.Background()
	const writers, each = 8, 25
	streams := []string{"job/1", "job/2", entry.ShopStream}
	receipts := make([][]entry.Receipt, writers)
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for i := range each {
				r, err := s.Append(ctx, []entry.Entry{fact(t, streams[i%3], w+1, i)})
				if err != nil {
					t.Error(err)
					return
				}
				receipts[w] = append(receipts[w], r...)
				if _, err := s.Rows(ctx, streams[i%3], r[0].Seq); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	heads, err := s.Verify(ctx)
	if err != nil || len(heads) != 3 {
		t.Fatalf("%+v, %v", heads, err)
	}
	var total int64
	for _, h := range heads {
		total += h.Seq
	}
	seen := map[string]bool{}
	for w, list := range receipts {
		for i, r := range list {
			if seen[r.Head] || i >= 3 && r.Seq <= list[i-3].Seq {
				t.Errorf("writer %d: receipt %+v", w, r)
			}
			seen[r.Head] = true
			if err := s.Holds(ctx, r); err != nil {
				t.Error(err)
			}
		}
	}
	if total != writers*each || len(seen) != writers*each {
		t.Errorf("%d rows and %d receipts of %d", total, len(seen), writers*each)
	}
}

// Law: SQL cannot change, remove, replace, misplace or unchain a row.
func TestAppendOnly(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	mustAppend(t, s, facts(t, "job/1", 1, 0, 2)...)
	db := raw(t, dir)
	const copied = " INTO entry SELECT %s, stream, %s, %s, kind, version, person, device, time, received, payload, %s, hash FROM entry WHERE seq = 2"
	insert := func(verb, id, seq, key, prev string) string { return fmt.Sprintf(verb+copied, id, seq, key, prev) }
	other := "zeroblob(16)"
	for text, want := range map[string]string{
		"UPDATE entry SET person = 'p-2' WHERE seq = 1":         "never changed",
		"UPDATE entry SET seq = 3 WHERE seq = 2":                "never changed",
		"DELETE FROM entry WHERE seq = 2":                       "never removed",
		"DELETE FROM entry":                                     "never removed",
		insert("INSERT OR REPLACE", "NULL", "2", "key", "prev"): "already there",
		insert("INSERT OR REPLACE", "NULL", "3", "key", "hash"): "already there",
		insert("INSERT OR REPLACE", "2", "3", other, "hash"):    "already there",
		insert("INSERT OR REPLACE", "NULL", "2", other, "prev"): "gap",
		insert("INSERT", "NULL", "4", other, "hash"):            "gap",
		insert("INSERT", "NULL", "3", other, "prev"):            "follow the head",
		"INSERT INTO entry SELECT NULL, 'job/2', 2, " + other + ", kind, version, person, device, time, received, payload, prev, hash FROM entry WHERE seq = 1": "gap",
	} {
		if _, err := db.Exec(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
	if heads, err := s.Verify(context.Background()); err != nil || len(heads) != 1 || heads[0].Seq != 2 {
		t.Errorf("%+v, %v", heads, err)
	}
	if _, err := s.read.Exec("INSERT INTO entry DEFAULT VALUES"); err == nil || !strings.Contains(err.Error(), "readonly") {
		t.Errorf("the reading connections write: %v", err)
	}
}

// Law: whoever has the file and takes the triggers away is found out by the
// chain, at the first wrong row and only in the stream that was touched.
func TestTampering(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		key  string
		seq  string
	}{
		"a byte of a payload": {"UPDATE entry SET payload = CAST(replace(payload, '83.012', '83.013') AS BLOB) WHERE stream = 'job/1' AND seq = 2", "entry.chain", "2"},
		"the person":          {"UPDATE entry SET person = 'p-2' WHERE stream = 'job/1' AND seq = 3", "entry.chain", "3"},
		"the time received":   {"UPDATE entry SET received = received + 1 WHERE stream = 'job/1' AND seq = 1", "entry.chain", "1"},
		"a row gone":          {"DELETE FROM entry WHERE stream = 'job/1' AND seq = 2", "entry.gap", "3"},
		"the first row gone":  {"DELETE FROM entry WHERE stream = 'job/1' AND seq = 1", "entry.gap", "2"},
		"another stream":      {"UPDATE entry SET stream = 'job/0' WHERE stream = 'job/1' AND seq = 1", "entry.chain", "1"},
	} {
		t.Run(name, func(t *testing.T) {
			ctx := context.Background()
			dir := t.TempDir()
			s := open(t, dir)
			receipts := mustAppend(t, s, append(facts(t, "job/1", 1, 0, 4), facts(t, "job/2", 2, 0, 4)...)...)
			db := raw(t, dir)
			for _, text := range []string{"DROP TRIGGER entry_no_update", "DROP TRIGGER entry_no_delete", c.text} {
				if r, err := db.Exec(text); err != nil {
					t.Fatal(err)
				} else if n, _ := r.RowsAffected(); text == c.text && n != 1 {
					t.Fatalf("%d rows changed", n)
				}
			}
			_, err := s.Verify(ctx)
			list := fault.All(err)
			if len(list) == 0 || list[0].Key != c.key || list[0].Args["sequence"]+list[0].Args["found"] != c.seq {
				t.Errorf("Verify: %v", err)
			}
			for _, f := range list {
				if f.Args["stream"] == "job/2" {
					t.Errorf("a sound stream is named: %v", f)
				}
			}
			states := NewStates(s)
			if _, err := states.Job(ctx, "1"); key(err) != "entry.chain" && key(err) != "entry.gap" {
				t.Errorf("the state of the job: %v", err)
			}
			if j, err := states.Job(ctx, "2"); err != nil || len(j.Readings) != 4 {
				t.Errorf("the sound job: %v", err)
			}
			if jobs, err := states.Jobs(ctx); err == nil || jobs["2"] == nil || jobs["1"] != nil {
				t.Errorf("the list: %v, %v", IDs(jobs), err)
			}
			lost := 0
			for _, r := range receipts[:4] {
				if s.Holds(ctx, r) != nil {
					lost++
				}
			}
			if lost != 1 {
				t.Errorf("%d receipts do not hold, want 1", lost)
			}
		})
	}
}

// Law: a tail cut off leaves a sound chain; a receipt from outside shows it.
func TestTailCutOff(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := open(t, dir)
	receipts := mustAppend(t, s, facts(t, "job/1", 1, 0, 4)...)
	db := raw(t, dir)
	for _, text := range []string{"DROP TRIGGER entry_no_delete", "DELETE FROM entry WHERE seq = 4"} {
		if _, err := db.Exec(text); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Verify(ctx); err != nil {
		t.Errorf("the prefix is not sound: %v", err)
	}
	if err := s.Holds(ctx, receipts[3]); key(err) != "store.receipt-lost" {
		t.Errorf("the lost receipt: %v", err)
	}
	mustAppend(t, s, fact(t, "job/1", 1, 7))
	if err := s.Holds(ctx, receipts[3]); key(err) != "store.receipt-changed" {
		t.Errorf("the receipt of a sequence used again: %v", err)
	}
}

// Law: a kind that nobody knows is kept as it came.
func TestUnknownKind(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	e, err := entry.New("job/1", entry.Key{9}, "polished", "p-1", "", 1, map[string]string{"how": "well"})
	if err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, e, fact(t, "job/1", 1, 0))
	rows, err := s.Rows(ctx, "job/1", 1)
	if err != nil || !rows[0].Same(&e) {
		t.Fatalf("%+v, %v", rows, err)
	}
	j, err := NewStates(s).Job(ctx, "1")
	if err != nil || len(j.Lines) != 2 || j.Lines[0].Known || j.Lines[0].Kind != "polished" || len(j.Readings) != 1 {
		t.Errorf("%+v, %v", j, err)
	}
}

func TestPeople(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := open(t, dir)
	before := mustAppend(t, s, fact(t, "job/1", 1, 0), fact(t, "job/1", 1, 1))
	want := Person{Name: "A. Person", Address: "1 Any Street", Phone: "000", Mail: "a@example.org", Plate: "AB 1", Note: "n"}
	for _, p := range []Person{{Name: "before"}, want} {
		if err := s.PutPerson("p-1", p); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := s.Person("p-1"); err != nil || got != want {
		t.Errorf("%+v, %v", got, err)
	}
	if err := os.WriteFile(filepath.Join(dir, "people", "p-1.json.new"), []byte(`{"name":"half`), 0o600); err != nil {
		t.Fatal(err)
	}
	heads, err := s.Verify(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := s.ErasePerson("p-1"); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Person("p-1"); key(err) != "store.no-person" {
		t.Errorf("after erasing: %v", err)
	}
	if after, err := s.Verify(ctx); err != nil || cmp.Diff(heads, after) != "" {
		t.Errorf("after erasing: %+v, %v", after, err)
	}
	for _, r := range before {
		if err := s.Holds(ctx, r); err != nil {
			t.Error(err)
		}
	}
	// Nothing of the person is left in any file.
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	err = filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		for _, word := range []string{"A. Person", "Any Street", "example.org", `"half`} {
			if strings.Contains(string(b), word) {
				t.Errorf("%s still holds %q", path, word)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"", ".", "..", "../x", "a/b", "A", "p 1", "é", strings.Repeat("a", 65)} {
		s := &Store{}
		_, err := s.Person(id)
		if key(err) != "store.bad-person-id" || key(s.PutPerson(id, want)) != "store.bad-person-id" || key(s.ErasePerson(id)) != "store.bad-person-id" {
			t.Errorf("id %q is taken: %v", id, err)
		}
	}
}

func TestOpenRefuses(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := open(t, dir)
	if _, err := Open(ctx, dir, tick()); key(err) != "store.in-use" || !strings.Contains(err.Error(), fmt.Sprint(os.Getpid())) {
		t.Errorf("a second owner: %v", err)
	}
	s.Close()

	db := raw(t, dir)
	if _, err := db.Exec("INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)"); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, dir, tick()); key(err) != "store.newer" {
		t.Errorf("a file of a later release: %v", err)
	}

	dir = t.TempDir()
	if _, err := raw(t, dir).Exec("CREATE TABLE theirs (x)"); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, dir, tick()); key(err) != "store.not-ours" {
		t.Errorf("a file of another program: %v", err)
	}

	dir = t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "fettle.db"), []byte(strings.Repeat("this is no database ", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, dir, tick()); err == nil {
		t.Error("a file that is no database was opened")
	}

	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, filepath.Join(file, "dir"), tick()); key(err) != "store.open" {
		t.Errorf("a directory that cannot be: %v", err)
	}
}

func TestOddDirectoryNames(t *testing.T) {
	for _, name := range []string{"a b", "100%25", "q?x=1&y", "hash#1", "ü–€", "a+b;c"} {
		dir := filepath.Join(t.TempDir(), name)
		s := open(t, dir)
		mustAppend(t, s, fact(t, "job/1", 1, 0))
		s.Close()
		if _, err := os.Stat(filepath.Join(dir, "fettle.db")); err != nil {
			t.Errorf("%q: %v", name, err)
		}
		if rows, err := open(t, dir).Rows(context.Background(), "job/1", 1); err != nil || len(rows) != 1 {
			t.Errorf("%q: %d rows, %v", name, len(rows), err)
		}
	}
}

// Law: what the promises rest on is in force on every connection.
func TestSettings(t *testing.T) {
	s := open(t, t.TempDir())
	ctx := context.Background()
	for _, db := range []*sql.DB{s.write, s.read} {
		for name, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "5000",
			"trusted_schema": "0", "cell_size_check": "1", "mmap_size": "0", "application_id": fmt.Sprint(mark)} {
			var got string
			if err := db.QueryRowContext(ctx, "PRAGMA "+name).Scan(&got); err != nil || got != want {
				t.Errorf("%s is %q, %v; want %q", name, got, err, want)
			}
		}
	}
	if !sqlite.OFDLockingEnabled() {
		if _, err := sqlite.OFDLocking(true); !errors.Is(err, sqlite.ErrOFDLockingUnavailable) {
			t.Error("locks belong to the process, though this system has better ones")
		}
	}
}

// Law: versions with the race between a write and a reset of the journal are
// refused. Source: release notes of SQLite 3.51.3.
func TestLibraryVersions(t *testing.T) {
	for version, want := range map[string]bool{
		"3.40.1": false, "3.44.5": false, "3.44.6": true, "3.45.0": false, "3.50.6": false, "3.50.7": true, "3.51.0": false,
		"3.51.2": false, "3.51.3": true, "3.52.0": false, "3.52.1": true, "3.53.0": true, "3.54.1": true, "3.7.0": false,
		"4.0.0": false, "": false, "3": false, "3.x.1": false,
	} {
		if sound(version) != want {
			t.Errorf("%q: sound %v, want %v", version, !want, want)
		}
	}
}

// Law: a full disk is said to be one, nothing half is kept, and writing goes on
// when there is room again. The bound on pages stands for the disk.
func TestFull(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	mustAppend(t, s, fact(t, "job/1", 1, 0))
	if _, err := s.write.Exec("PRAGMA max_page_count = 1"); err != nil { // it stays at what is used
		t.Fatal(err)
	}
	taken := 1
	var err error
	for taken < 1000 {
		if _, err = s.Append(ctx, facts(t, "job/1", 1, taken, taken+1)); err != nil {
			break
		}
		taken++
	}
	if key(err) != "store.full" || s.Halted() != nil {
		t.Fatalf("after %d entries: %v, halted %v", taken, err, s.Halted())
	}
	if rows, err := s.Rows(ctx, "job/1", 1); err != nil || len(rows) != taken {
		t.Errorf("%d rows of %d, %v", len(rows), taken, err)
	}
	if _, err := s.write.Exec("PRAGMA max_page_count = 1000000"); err != nil {
		t.Fatal(err)
	}
	if r := mustAppend(t, s, fact(t, "job/1", 1, taken)); r[0].Seq != int64(taken+1) {
		t.Errorf("sequence %d after %d", r[0].Seq, taken)
	}
}

// Law: a row that does not read back as it was written is not acknowledged and
// not kept; then nothing more is taken until the log was opened anew, while
// reading goes on. A trigger stands for the machine that wrote something else.
func TestReadBack(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := open(t, dir)
	mustAppend(t, s, fact(t, "job/1", 1, 0))
	db := raw(t, dir)
	for _, text := range []string{"DROP TRIGGER entry_no_update",
		"CREATE TRIGGER wrong AFTER INSERT ON entry BEGIN UPDATE entry SET time = time + 1 WHERE id = NEW.id; END"} {
		if _, err := db.Exec(text); err != nil {
			t.Fatal(err)
		}
	}
	for range 2 {
		if r, err := s.Append(ctx, facts(t, "job/1", 1, 1, 3)); r != nil || key(err) != "store.read-back" {
			t.Errorf("%v, %v", r, err)
		}
	}
	if rows, err := s.Rows(ctx, "job/1", 1); err != nil || len(rows) != 1 {
		t.Errorf("%d rows, %v", len(rows), err)
	}
	if key(s.Halted()) != "store.read-back" {
		t.Errorf("halted: %v", s.Halted())
	}
	if _, err := db.Exec("DROP TRIGGER wrong"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Append(ctx, facts(t, "job/1", 1, 1, 2)); key(err) != "store.read-back" {
		t.Errorf("it goes on without being opened anew: %v", err)
	}
	s.Close()
	if r := mustAppend(t, open(t, dir), fact(t, "job/1", 1, 1)); r[0].Seq != 2 {
		t.Errorf("opened anew, the next sequence is %d", r[0].Seq)
	}
}
