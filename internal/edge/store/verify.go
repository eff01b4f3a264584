package store

import (
	"context"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
)

// Verify walks every stream from its first row and computes each hash again. It
// returns the heads, and as a fault.List the first break of each damaged
// stream and what SQLite finds wrong with the structure of the file. One
// snapshot is checked; writing goes on meanwhile.
func (s *Store) Verify(ctx context.Context) ([]Head, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT "+columns+" FROM entry ORDER BY stream, seq")
	if err != nil {
		return nil, broken("store.read", err)
	}
	defer rows.Close()
	var heads []Head
	var found fault.List
	torn := "" // the stream whose break was reported
	for rows.Next() {
		r, err := scan(rows)
		if err != nil {
			return heads, broken("store.read", err)
		}
		if len(heads) == 0 || heads[len(heads)-1].Stream != r.Stream {
			heads = append(heads, Head{Stream: r.Stream})
		}
		h := &heads[len(heads)-1]
		if r.Stream == torn {
			continue
		}
		if err := r.Follows(h.Seq, h.Hash); err != nil {
			torn = r.Stream
			found = append(found, fault.All(err)...)
			continue
		}
		h.Seq, h.Hash = r.Seq, r.Hash
	}
	if err := rows.Err(); err != nil {
		return heads, broken("store.read", err)
	}
	if err := s.structure(ctx); err != nil {
		found = append(found, fault.All(err)...)
	}
	return heads, found.OrNil()
}

// structure asks SQLite for its own check, which sees the tree of pages and the
// indexes but not a changed value.
func (s *Store) structure(ctx context.Context) error {
	var says string
	if err := s.read.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&says); err != nil {
		return broken("store.read", err)
	}
	if says != "ok" {
		return fault.New(fault.Broken, "store.damaged", "found", says)
	}
	return nil
}

// follow checks that rows continue a stream behind a sequence and a hash.
func follow(seq int64, head entry.Hash, rows []entry.Row) (int64, entry.Hash, error) {
	for i := range rows {
		if err := rows[i].Follows(seq, head); err != nil {
			return seq, head, err
		}
		seq, head = rows[i].Seq, rows[i].Hash
	}
	return seq, head, nil
}
