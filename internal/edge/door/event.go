package door

import (
	"context"
	"io"
	"strconv"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/facts/door"
	"fettle/internal/facts/entry"
)

func itoa(n int) string { return strconv.Itoa(n) }

// note writes an event to the door's stream.
func (d *Door) note(ctx context.Context, kind entry.Kind, by string, e door.EventV1) error {
	key, err := d.key()
	if err != nil {
		return err
	}
	made, err := entry.New(entry.DoorStream, key, kind, by, e.Device, d.clock().UnixMicro(), e)
	if err != nil {
		return err
	}
	_, err = d.store.Append(ctx, []entry.Entry{made})
	return err
}

// key is a new key of an entry.
func (d *Door) key() (entry.Key, error) {
	var k entry.Key
	if _, err := io.ReadFull(d.random, k[:]); err != nil {
		return k, fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
	}
	return k, nil
}

// Refusals are written down up to a number an hour; the others are counted, and
// the next one that is written says how many. So nobody fills the disk by
// guessing.
const mostRefusals = 120

type unsaid struct {
	hour    int64
	written int
	counted int64
}

// refused notes a wrong secret.
func (d *Door) refused(ctx context.Context, e door.EventV1) error {
	d.mu.Lock()
	u := &d.unsaid
	if hour := d.clock().Unix() / int64(time.Hour/time.Second); hour != u.hour {
		u.hour, u.written = hour, 0
	}
	if u.written >= mostRefusals {
		u.counted++
		d.mu.Unlock()
		return nil
	}
	u.written++
	e.Unsaid, u.counted = u.counted, 0
	d.mu.Unlock()
	return d.note(ctx, entry.SignInFailed, "", e)
}

// Events lists the last events, the newest first, at most n.
func (d *Door) Events(ctx context.Context, n int) ([]door.Event, error) {
	h, err := d.store.Head(ctx, entry.DoorStream)
	if err != nil {
		return nil, err
	}
	rows, err := d.store.Rows(ctx, entry.DoorStream, max(1, h.Seq-int64(n)+1))
	if err != nil {
		return nil, err
	}
	list, _ := door.Replay(rows)
	for i, k := 0, len(list)-1; i < k; i, k = i+1, k-1 {
		list[i], list[k] = list[k], list[i]
	}
	return list, nil
}
