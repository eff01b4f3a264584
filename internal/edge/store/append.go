package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
)

// patience is how long one write may take once it has its turn.
const patience = 30 * time.Second

// columns are in the order in which scan reads them.
const columns = "stream, seq, key, kind, version, person, device, time, received, payload, prev, hash"

// prepared are the statements of the writing connection.
type prepared struct{ byKey, head, insert, bySeq *sql.Stmt }

func (s *Store) prepare(ctx context.Context) error {
	for _, p := range []struct {
		to   **sql.Stmt
		text string
	}{
		{&s.texts.byKey, "SELECT " + columns + " FROM entry WHERE key = $1"},
		{&s.texts.head, "SELECT seq, hash FROM entry WHERE stream = $1 ORDER BY seq DESC LIMIT 1"},
		{&s.texts.insert, "INSERT INTO entry (" + columns + ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)"},
		{&s.texts.bySeq, "SELECT " + columns + " FROM entry WHERE stream = $1 AND seq = $2"},
	} {
		stmt, err := s.write.PrepareContext(ctx, p.text)
		if err != nil {
			return broken("store.read", err)
		}
		*p.to = stmt
	}
	return nil
}

// Append stores entries, all or none, and returns a receipt for each. An entry
// that is stored already is answered with its first receipt; one whose key was
// used for something else is a conflict. When Append returns receipts, they are
// on the disk. When it returns an error of code broken, the entries may or may
// not be: ask again with the same keys.
func (s *Store) Append(ctx context.Context, entries []entry.Entry) ([]entry.Receipt, error) {
	for i := range entries {
		if err := entries[i].Check(); err != nil {
			return nil, inEntry(err, i)
		}
	}
	if len(entries) == 0 {
		return nil, nil
	}
	conn, err := s.write.Conn(ctx) // waits for its turn; the caller may give up here
	if err != nil {
		return nil, broken("store.write", err)
	}
	defer conn.Close()
	if err := s.Halted(); err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
	defer cancel()
	tx, err := conn.BeginTx(ctx, nil)
	if err != nil {
		return nil, s.failed(err)
	}
	defer tx.Rollback() // after a commit this does nothing
	w := writing{ctx: ctx, tx: tx, texts: &s.texts, received: s.clock().UnixMicro(), heads: map[string]Head{}}
	receipts := make([]entry.Receipt, len(entries))
	for i := range entries {
		if receipts[i], err = w.take(&entries[i]); err != nil {
			if f := (*fault.Fault)(nil); errors.As(err, &f) {
				return nil, inEntry(err, i)
			}
			return nil, s.failed(err)
		}
	}
	if err := w.readBack(); err != nil {
		return nil, s.failed(err)
	}
	if err := tx.Commit(); err != nil {
		return nil, s.failed(err)
	}
	return receipts, nil
}

// inEntry says which entry of several a fault is about.
func inEntry(err error, i int) error {
	var f *fault.Fault
	if errors.As(err, &f) {
		return f.In("entries[" + whole(int64(i)) + "]")
	}
	return err
}

// failed makes a fault of what went wrong in a write. After a failed sync the
// system may hold other bytes than the disk, and a second sync can succeed
// without writing them: then nothing more is taken until the log was opened
// anew.
func (s *Store) failed(err error) error {
	var f *fault.Fault
	if errors.As(err, &f) {
		s.halt.Store(f)
		return f
	}
	if c := code(err); c == codeIO || c == codeCorrupt {
		s.halt.Store(fault.New(fault.Broken, "store.halted", "error", err.Error()).Because(err))
	}
	return broken("store.write", err)
}

// writing is one transaction.
type writing struct {
	ctx      context.Context
	tx       *sql.Tx
	texts    *prepared
	received int64
	heads    map[string]Head
	fresh    []entry.Row
}

// take stores one entry, or finds it stored.
func (w *writing) take(e *entry.Entry) (entry.Receipt, error) {
	old, err := scan(w.tx.StmtContext(w.ctx, w.texts.byKey).QueryRowContext(w.ctx, e.Key[:]))
	switch {
	case err == nil && old.Same(e):
		return receipt(&old), nil
	case err == nil:
		return entry.Receipt{}, fault.New(fault.Conflict, "store.key-taken", "key", e.Key.String())
	case !errors.Is(err, sql.ErrNoRows):
		return entry.Receipt{}, err
	}
	head, err := w.headOf(e.Stream)
	if err != nil {
		return entry.Receipt{}, err
	}
	r := entry.Row{Entry: *e, Seq: head.Seq + 1, Received: w.received, Prev: head.Hash}
	r.Hash = r.Digest()
	if _, err := w.tx.StmtContext(w.ctx, w.texts.insert).ExecContext(w.ctx, r.Stream, r.Seq, r.Key[:], string(r.Kind), r.Version,
		r.Person, r.Device, r.Time, r.Received, r.Payload, r.Prev[:], r.Hash[:]); err != nil {
		return entry.Receipt{}, err
	}
	w.heads[e.Stream] = Head{r.Stream, r.Seq, r.Hash}
	w.fresh = append(w.fresh, r)
	return receipt(&r), nil
}

func (w *writing) headOf(stream string) (Head, error) {
	if h, ok := w.heads[stream]; ok {
		return h, nil
	}
	return scanHead(stream, w.tx.StmtContext(w.ctx, w.texts.head).QueryRowContext(w.ctx, stream))
}

// readBack reads each new row again and computes its hash from what was read.
func (w *writing) readBack() error {
	for i := range w.fresh {
		want := &w.fresh[i]
		got, err := scan(w.tx.StmtContext(w.ctx, w.texts.bySeq).QueryRowContext(w.ctx, want.Stream, want.Seq))
		if err != nil {
			return err
		}
		if !got.Same(&want.Entry) || got.Prev != want.Prev || got.Digest() != want.Hash || got.Hash != want.Hash {
			return fault.New(fault.Broken, "store.read-back", "stream", want.Stream, "sequence", whole(want.Seq))
		}
	}
	return nil
}

func receipt(r *entry.Row) entry.Receipt {
	return entry.Receipt{Stream: r.Stream, Seq: r.Seq, Head: r.Hash.String()}
}
