// Package store keeps the log in one SQLite file, and the personal data and the
// files that entries name in directories beside it. It stores and reads back; it understands no payload.
package store

import (
	"context"
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"sync/atomic"
	"time"

	"modernc.org/sqlite"

	"fettle/internal/base/fault"
)

// readers is how many connections read at the same time.
const readers = 4

// Store is the log of one workshop. One process owns it; within that process
// it may be used from everywhere at once.
type Store struct {
	write  *sql.DB // one connection
	read   *sql.DB // readers connections that cannot write
	clock  func() time.Time
	people *os.Root
	files  *os.Root
	drafts *os.Root
	family *os.Root
	hands  *os.Root

	photos, originals *os.Root

	lock  *os.File
	texts prepared
	halt  atomic.Pointer[fault.Fault]
}

// Open opens the log in a directory, or makes both. The clock gives the time at
// which entries are received.
func Open(ctx context.Context, dir string, clock func() time.Time) (*Store, error) {
	s := &Store{clock: clock}
	if err := s.open(ctx, dir); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

func (s *Store) open(ctx context.Context, dir string) (err error) {
	dir, err = filepath.Abs(dir)
	if err == nil {
		err = os.MkdirAll(filepath.Join(dir, "people"), 0o700)
	}
	if err == nil {
		err = os.MkdirAll(filepath.Join(dir, filesDir), 0o700)
	}
	for _, d := range []string{draftsDir, filepath.Join(familyDir, wasDir), handsDir, photosDir, originalsDir} {
		if err == nil {
			err = os.MkdirAll(filepath.Join(dir, d), 0o700)
		}
	}
	if err != nil {
		return broken("store.open", err, "dir", dir)
	}
	if s.lock, err = takeLock(dir); err != nil {
		return err
	}
	if s.people, err = os.OpenRoot(filepath.Join(dir, "people")); err != nil {
		return broken("store.open", err, "dir", dir)
	}
	if s.files, err = os.OpenRoot(filepath.Join(dir, filesDir)); err != nil {
		return broken("store.open", err, "dir", dir)
	}
	if s.drafts, err = os.OpenRoot(filepath.Join(dir, draftsDir)); err != nil {
		return broken("store.open", err, "dir", dir)
	}
	if s.family, err = os.OpenRoot(filepath.Join(dir, familyDir)); err != nil {
		return broken("store.open", err, "dir", dir)
	}
	if s.hands, err = os.OpenRoot(filepath.Join(dir, handsDir)); err != nil {
		return broken("store.open", err, "dir", dir)
	}
	if s.photos, err = os.OpenRoot(filepath.Join(dir, photosDir)); err != nil {
		return broken("store.open", err, "dir", dir)
	}
	if s.originals, err = os.OpenRoot(filepath.Join(dir, originalsDir)); err != nil {
		return broken("store.open", err, "dir", dir)
	}
	// Locks of the open file, not of the process: a stray open and close of the
	// database file elsewhere in this process would drop the others.
	if _, err := sqlite.OFDLocking(true); err != nil && !errors.Is(err, sqlite.ErrOFDLockingUnavailable) {
		return broken("store.open", err, "dir", dir)
	}
	file := filepath.Join(dir, "fettle.db")
	if s.write, err = sql.Open("sqlite", dsn(file, "immediate", "recursive_triggers(ON)")); err != nil {
		return broken("store.open", err, "dir", dir)
	}
	s.write.SetMaxOpenConns(1)
	if err := checkLibrary(ctx, s.write); err != nil {
		return err
	}
	if err := migrate(ctx, s.write, file); err != nil {
		return err
	}
	if s.read, err = sql.Open("sqlite", dsn(file, "deferred", "query_only(ON)")); err != nil {
		return broken("store.open", err, "dir", dir)
	}
	s.read.SetMaxOpenConns(readers)
	s.read.SetMaxIdleConns(readers)
	for _, db := range []*sql.DB{s.write, s.read} {
		if err := checkPragmas(ctx, db); err != nil {
			return err
		}
	}
	if err := s.prepare(ctx); err != nil {
		return err
	}
	for _, d := range []string{dir, filepath.Dir(dir)} {
		if err := syncDir(d); err != nil {
			return broken("store.open", err, "dir", d)
		}
	}
	return nil
}

// Close ends the store; whoever still waits for an answer gets an error.
func (s *Store) Close() error {
	var errs []error
	if s.read != nil {
		errs = append(errs, s.read.Close())
	}
	if s.write != nil {
		errs = append(errs, s.write.Close()) // last, so that it folds the journal into the file
	}
	if s.people != nil {
		errs = append(errs, s.people.Close())
	}
	if s.files != nil {
		errs = append(errs, s.files.Close())
	}
	for _, r := range []*os.Root{s.drafts, s.family, s.hands, s.photos, s.originals} {
		if r != nil {
			errs = append(errs, r.Close())
		}
	}
	if s.lock != nil {
		errs = append(errs, s.lock.Close())
	}
	return errors.Join(errs...)
}

// Halted tells why the store takes no more entries, or nil while it does.
func (s *Store) Halted() error {
	if f := s.halt.Load(); f != nil {
		return f
	}
	return nil
}

// pragmas stand in the connection string, for each connection has its own.
var pragmas = [...]string{"journal_mode(WAL)", "synchronous(FULL)", "fullfsync(ON)", "foreign_keys(ON)",
	"trusted_schema(OFF)", "cell_size_check(ON)", "mmap_size(0)"}

func dsn(file, txlock string, more ...string) string {
	q := url.Values{"_txlock": {txlock}, "_busy_timeout": {"5000"}}
	for _, p := range append(pragmas[:len(pragmas):len(pragmas)], more...) {
		q.Add("_pragma", p)
	}
	return "file:" + (&url.URL{Path: filepath.ToSlash(file)}).EscapedPath() + "?" + q.Encode()
}

// checkPragmas makes sure that what the promises rest on is in force.
func checkPragmas(ctx context.Context, db *sql.DB) error {
	for _, p := range []struct{ name, want string }{
		{"journal_mode", "wal"}, {"synchronous", "2"}, {"foreign_keys", "1"}, {"busy_timeout", "5000"},
	} {
		var found string
		if err := db.QueryRowContext(ctx, "PRAGMA "+p.name).Scan(&found); err != nil {
			return broken("store.read", err)
		}
		if found != p.want {
			return fault.New(fault.Broken, "store.pragma", "name", p.name, "found", found, "expected", p.want)
		}
	}
	return nil
}

func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// broken makes a fault of what the machine answered. A full disk has a sentence
// of its own.
func broken(key string, err error, pairs ...string) *fault.Fault {
	if code(err) == codeFull {
		return fault.New(fault.Broken, "store.full").Because(err)
	}
	return fault.New(fault.Broken, key, append(pairs, "error", err.Error())...).Because(err)
}

// The primary result codes of SQLite that the store tells apart.
const (
	codeIO      = 10
	codeCorrupt = 11
	codeFull    = 13
)

func code(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff
	}
	return 0
}

func whole(n int64) string { return strconv.FormatInt(n, 10) }
