package store

import (
	"context"
	"database/sql"
	"errors"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
)

// Head is the last row of a stream; of an empty one the sequence and the hash
// are zero.
type Head struct {
	Stream string
	Seq    int64
	Hash   entry.Hash
}

// Rows returns the rows of a stream from a sequence on, in order; 1 is the
// first. It trusts the file: Verify and States check the chain.
func (s *Store) Rows(ctx context.Context, stream string, from int64) ([]entry.Row, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT "+columns+" FROM entry WHERE stream = $1 AND seq >= $2 ORDER BY seq", stream, from)
	if err != nil {
		return nil, broken("store.read", err)
	}
	defer rows.Close()
	var out []entry.Row
	for rows.Next() {
		r, err := scan(rows)
		if err != nil {
			return nil, broken("store.read", err)
		}
		out = append(out, r)
	}
	if err := rows.Err(); err != nil {
		return nil, broken("store.read", err)
	}
	return out, nil
}

// Head returns the head of a stream.
func (s *Store) Head(ctx context.Context, stream string) (Head, error) {
	h, err := scanHead(stream, s.read.QueryRowContext(ctx, "SELECT seq, hash FROM entry WHERE stream = $1 ORDER BY seq DESC LIMIT 1", stream))
	if err != nil {
		return h, broken("store.read", err)
	}
	return h, nil
}

// Streams returns the head of every stream, by name. It steps from name to name
// through the index and reads no other row.
func (s *Store) Streams(ctx context.Context) ([]Head, error) {
	rows, err := s.read.QueryContext(ctx, `
		WITH RECURSIVE names(stream) AS (
			SELECT min(stream) FROM entry
			UNION ALL
			SELECT (SELECT min(stream) FROM entry WHERE stream > names.stream) FROM names WHERE names.stream IS NOT NULL)
		SELECT e.stream, e.seq, e.hash FROM names JOIN entry e
			ON e.stream = names.stream AND e.seq = (SELECT max(seq) FROM entry WHERE stream = names.stream)
		ORDER BY e.stream`)
	if err != nil {
		return nil, broken("store.read", err)
	}
	defer rows.Close()
	var out []Head
	for rows.Next() {
		var h Head
		var hash []byte
		if err := rows.Scan(&h.Stream, &h.Seq, &hash); err != nil {
			return nil, broken("store.read", err)
		}
		copy(h.Hash[:], hash)
		out = append(out, h)
	}
	if err := rows.Err(); err != nil {
		return nil, broken("store.read", err)
	}
	return out, nil
}

// Holds checks that a receipt is still on the chain of its stream: that its row
// is there with the hash it was given. A head printed on a record is a receipt.
func (s *Store) Holds(ctx context.Context, r entry.Receipt) error {
	row, err := scan(s.read.QueryRowContext(ctx, "SELECT "+columns+" FROM entry WHERE stream = $1 AND seq = $2", r.Stream, r.Seq))
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return fault.New(fault.Broken, "store.receipt-lost", "stream", r.Stream, "sequence", whole(r.Seq))
	case err != nil:
		return broken("store.read", err)
	case row.Hash.String() != r.Head || row.Digest() != row.Hash:
		return fault.New(fault.Broken, "store.receipt-changed", "stream", r.Stream, "sequence", whole(r.Seq))
	}
	return nil
}

// scan reads one row in the order of columns.
func scan(from interface{ Scan(...any) error }) (entry.Row, error) {
	var r entry.Row
	var key, prev, hash []byte
	var kind string
	err := from.Scan(&r.Stream, &r.Seq, &key, &kind, &r.Version, &r.Person, &r.Device, &r.Time, &r.Received, &r.Payload, &prev, &hash)
	if err != nil {
		return r, err
	}
	r.Kind = entry.Kind(kind)
	copy(r.Key[:], key)
	copy(r.Prev[:], prev)
	copy(r.Hash[:], hash)
	return r, nil
}

func scanHead(stream string, from *sql.Row) (Head, error) {
	h := Head{Stream: stream}
	var hash []byte
	err := from.Scan(&h.Seq, &hash)
	if errors.Is(err, sql.ErrNoRows) {
		return h, nil
	}
	copy(h.Hash[:], hash)
	return h, err
}
