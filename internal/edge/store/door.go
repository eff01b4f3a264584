package store

import (
	"context"
	"database/sql"
	"errors"

	"fettle/internal/base/fault"
)

// Keeper is a person who may come in. Password and Pin are hashes; "" is none.
type Keeper struct {
	Person        string // opaque id of the shop's log
	Owner         bool
	Password, Pin string
	Disabled      bool
}

// Device is an enrolled device. Token is the SHA-256 of what its cookie holds;
// times are µs since 1970 UTC, Revoked 0 while it may be used.
type Device struct {
	Device, Name            string
	Token                   [32]byte
	Enrolled, Seen, Revoked int64
}

// Session is a person signed in. Ref is the SHA-256 of what the cookie holds.
type Session struct {
	Ref         [32]byte
	Person      string
	Device      string // "" where it was begun by password on a device that is not enrolled
	Strong      bool   // by password
	Locked      bool
	Begun, Used int64
}

// DoorLimits says when a session locks and when it ends, µs.
type DoorLimits struct{ Idle, Longest int64 }

const (
	keeperColumns  = "person, owner, password, pin, disabled"
	deviceColumns  = "device, name, token, enrolled, seen, revoked"
	sessionColumns = "ref, person, device, strong, locked, begun, used"
)

type scanner interface{ Scan(...any) error }

func scanKeeper(from scanner) (k Keeper, err error) {
	err = from.Scan(&k.Person, &k.Owner, &k.Password, &k.Pin, &k.Disabled)
	return k, err
}

func scanDevice(from scanner) (d Device, err error) {
	var token []byte
	err = from.Scan(&d.Device, &d.Name, &token, &d.Enrolled, &d.Seen, &d.Revoked)
	copy(d.Token[:], token)
	return d, err
}

// Keepers lists everybody who may come in, or might again, by id.
func (s *Store) Keepers(ctx context.Context) ([]Keeper, error) {
	return list(ctx, s, scanKeeper, "SELECT "+keeperColumns+" FROM door_person ORDER BY person")
}

// Keeper finds one of them.
//
// Errors: missing.
func (s *Store) Keeper(ctx context.Context, person string) (Keeper, error) {
	return one(scanKeeper, s.read.QueryRowContext(ctx, "SELECT "+keeperColumns+" FROM door_person WHERE person = $1", person))
}

// PutKeeper writes or replaces one of them. Where the person is disabled or a
// secret is another, the sessions of the person end with the same write; keep
// names one that stays.
func (s *Store) PutKeeper(ctx context.Context, k Keeper, keep [32]byte) error {
	return s.door(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO door_person ("+keeperColumns+") VALUES ($1, $2, $3, $4, $5) ON CONFLICT (person) DO UPDATE SET "+
			"owner = excluded.owner, password = excluded.password, pin = excluded.pin, disabled = excluded.disabled", k.Person, k.Owner, k.Password, k.Pin, k.Disabled)
		if err == nil {
			_, err = tx.ExecContext(ctx, "DELETE FROM door_session WHERE person = $1 AND ref <> $2", k.Person, keep[:])
		}
		return err
	})
}

// PutOwner writes the first owner with the first device, or neither.
//
// Errors: conflict where there is an owner already.
func (s *Store) PutOwner(ctx context.Context, k Keeper, d Device) error {
	return s.door(ctx, func(tx *sql.Tx) error {
		var n int
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM door_person WHERE owner = 1").Scan(&n); err != nil {
			return err
		}
		if n > 0 {
			return fault.New(fault.Conflict, "store.owner-there")
		}
		_, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO door_person ("+keeperColumns+") VALUES ($1, 1, $2, $3, 0)", k.Person, k.Password, k.Pin)
		if err == nil {
			err = putDevice(ctx, tx, d)
		}
		return err
	})
}

func putDevice(ctx context.Context, tx *sql.Tx, d Device) error {
	_, err := tx.ExecContext(ctx, "INSERT INTO door_device ("+deviceColumns+") VALUES ($1, $2, $3, $4, $5, $6)", d.Device, d.Name, d.Token[:], d.Enrolled, d.Seen, d.Revoked)
	return err
}

// Devices lists every device that was ever enrolled, the oldest first.
func (s *Store) Devices(ctx context.Context) ([]Device, error) {
	return list(ctx, s, scanDevice, "SELECT "+deviceColumns+" FROM door_device ORDER BY enrolled, device")
}

// DeviceBy finds the device whose cookie has this digest.
//
// Errors: missing.
func (s *Store) DeviceBy(ctx context.Context, token [32]byte) (Device, error) {
	return one(scanDevice, s.read.QueryRowContext(ctx, "SELECT "+deviceColumns+" FROM door_device WHERE token = $1", token[:]))
}

// PutDevice enrols a device.
func (s *Store) PutDevice(ctx context.Context, d Device) error {
	return s.door(ctx, func(tx *sql.Tx) error { return putDevice(ctx, tx, d) })
}

// Revoke ends a device and every session on it.
//
// Errors: missing where there is no such device in use.
func (s *Store) Revoke(ctx context.Context, device string, at int64) error {
	return s.door(ctx, func(tx *sql.Tx) error {
		err := touched(tx.ExecContext(ctx, "UPDATE door_device SET revoked = $2 WHERE device = $1 AND revoked = 0", device, at))
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM door_session WHERE device = $1", device)
		return err
	})
}

// SeeDevice notes when a device was last used.
func (s *Store) SeeDevice(ctx context.Context, device string, at int64) error {
	return s.door(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE door_device SET seen = $2 WHERE device = $1", device, at)
		return err
	})
}

// Session finds a session.
//
// Errors: missing.
func (s *Store) Session(ctx context.Context, ref [32]byte) (Session, error) {
	return one(func(from scanner) (v Session, err error) {
		var b []byte
		err = from.Scan(&b, &v.Person, &v.Device, &v.Strong, &v.Locked, &v.Begun, &v.Used)
		copy(v.Ref[:], b)
		return v, err
	}, s.read.QueryRowContext(ctx, "SELECT "+sessionColumns+" FROM door_session WHERE ref = $1", ref[:]))
}

// BeginSession writes a session; old is the one it takes the place of, if any.
//
// Errors: missing where the person was disabled or the device revoked by now.
func (s *Store) BeginSession(ctx context.Context, v Session, old [32]byte) error {
	return s.door(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM door_session WHERE ref = $1", old[:])
		if err != nil {
			return err
		}
		return touched(tx.ExecContext(ctx, "INSERT INTO door_session ("+sessionColumns+") SELECT $1, $2, $3, $4, $5, $6, $7 "+
			"WHERE EXISTS (SELECT 1 FROM door_person WHERE person = $2 AND disabled = 0) "+
			"AND ($3 = '' OR EXISTS (SELECT 1 FROM door_device WHERE device = $3 AND revoked = 0))",
			v.Ref[:], v.Person, v.Device, v.Strong, v.Locked, v.Begun, v.Used))
	})
}

// touched is sql.ErrNoRows where a statement changed nothing.
func touched(r sql.Result, err error) error {
	if err != nil {
		return err
	}
	if n, err := r.RowsAffected(); err != nil || n == 0 {
		return errors.Join(err, sql.ErrNoRows)
	}
	return nil
}

// UseSession notes that a session was used. One that has ended or been locked
// meanwhile stays so.
func (s *Store) UseSession(ctx context.Context, ref [32]byte, used int64) error {
	return s.door(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE door_session SET used = max(used, $2) WHERE ref = $1 AND locked = 0", ref[:], used)
		return err
	})
}

// LockSession locks a session; first says that it was open until now.
func (s *Store) LockSession(ctx context.Context, ref [32]byte) (first bool, err error) {
	err = s.door(ctx, func(tx *sql.Tx) error {
		err := touched(tx.ExecContext(ctx, "UPDATE door_session SET locked = 1 WHERE ref = $1 AND locked = 0", ref[:]))
		first = err == nil
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		return err
	})
	return first, err
}

// EndSession removes a session.
func (s *Store) EndSession(ctx context.Context, ref [32]byte) error {
	return s.door(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM door_session WHERE ref = $1", ref[:])
		return err
	})
}

// EndSessionsBefore removes sessions begun before a time.
func (s *Store) EndSessionsBefore(ctx context.Context, begun int64) error {
	return s.door(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM door_session WHERE begun < $1", begun)
		return err
	})
}

// DoorLimits reads the limits of sessions.
//
// Errors: missing where none were ever set.
func (s *Store) DoorLimits(ctx context.Context) (DoorLimits, error) {
	return one(func(from scanner) (l DoorLimits, err error) {
		err = from.Scan(&l.Idle, &l.Longest)
		return l, err
	}, s.read.QueryRowContext(ctx, "SELECT idle, longest FROM door_limit"))
}

// PutDoorLimits sets them.
func (s *Store) PutDoorLimits(ctx context.Context, l DoorLimits) error {
	return s.door(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO door_limit (one, idle, longest) VALUES (1, $1, $2) ON CONFLICT (one) DO UPDATE SET idle = excluded.idle, longest = excluded.longest", l.Idle, l.Longest)
		return err
	})
}

// door is one write beside the log.
func (s *Store) door(ctx context.Context, f func(*sql.Tx) error) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
	defer cancel()
	if err := s.Halted(); err != nil {
		return err
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return s.failed(err)
	}
	defer tx.Rollback() // after a commit this does nothing
	var known *fault.Fault
	switch err := f(tx); {
	case errors.Is(err, sql.ErrNoRows):
		return fault.New(fault.Missing, "store.not-at-door")
	case errors.As(err, &known):
		return err
	case err != nil:
		return s.failed(err)
	}
	if err := tx.Commit(); err != nil {
		return s.failed(err)
	}
	return nil
}

func one[T any](scan func(scanner) (T, error), row *sql.Row) (T, error) {
	v, err := scan(row)
	if errors.Is(err, sql.ErrNoRows) {
		return v, fault.New(fault.Missing, "store.not-at-door")
	}
	if err != nil {
		return v, broken("store.read", err)
	}
	return v, nil
}

func list[T any](ctx context.Context, s *Store, scan func(scanner) (T, error), query string) ([]T, error) {
	rows, err := s.read.QueryContext(ctx, query)
	if err != nil {
		return nil, broken("store.read", err)
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, broken("store.read", err)
		}
		out = append(out, v)
	}
	if err := rows.Err(); err != nil {
		return nil, broken("store.read", err)
	}
	return out, nil
}
