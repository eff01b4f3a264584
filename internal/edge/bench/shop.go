package bench

import (
	"context"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/gauge"
)

// reopens judges every job that used a gauge as it would be with one more entry
// of the shop.
func (b *Bench) reopens(ctx context.Context, sh *shop.State, id string, e entry.Entry) ([]Reopened, error) {
	after := sh.With([]entry.Row{{Entry: e, Seq: sh.Seq + 1}})
	var out []Reopened
	err := b.users(ctx, sh, id, func(j *Judged) error {
		now, err := assess.Evaluate(b.knowledge(j.Layout), assess.Facts{Job: j.Job, Shop: after}, assess.Plan{})
		if err != nil {
			return err
		}
		r := Reopened{Job: j.Assessment.Job, Title: j.Assessment.Title}
		if r.Changes, r.Moved = gauge.Compare(j.Assessment, now); len(r.Changes) > 0 || r.Moved > 0 {
			out = append(out, r)
		}
		return nil
	})
	return out, err
}

// users hands over every job in which a gauge was used, or was what another was
// set on. A job that cannot be judged is left out: its own page says why.
func (b *Bench) users(ctx context.Context, sh *shop.State, id string, each func(*Judged) error) error {
	heads, err := b.store.Streams(ctx)
	if err != nil {
		return err
	}
	for _, h := range heads {
		name, ok := strings.CutPrefix(h.Stream, entry.JobStream(""))
		if !ok {
			continue
		}
		if st, err := b.states.Job(ctx, name); err != nil || !uses(st, sh, id) {
			continue
		}
		j, err := b.Judge(ctx, name)
		if err != nil {
			continue
		}
		if err := each(j); err != nil {
			return err
		}
	}
	return nil
}

func uses(j *job.State, sh *shop.State, id string) bool {
	for i := range j.Readings {
		r := &j.Readings[i]
		if r.Gauge == id || r.Master == id {
			return true
		}
		if g := sh.Gauges[r.Gauge]; r.Master == "" && g != nil && g.Master == id {
			return true
		}
	}
	return false
}

// writeShop appends one entry to the shop's log. The same fact under the same
// key, though at another time, is answered with its first receipt.
func (b *Bench) writeShop(ctx context.Context, e entry.Entry) (entry.Receipt, bool, error) {
	b.shopWrite.Lock()
	defer b.shopWrite.Unlock()
	rows, err := b.store.Rows(ctx, entry.ShopStream, 1)
	if err != nil {
		return entry.Receipt{}, false, err
	}
	for i := range rows {
		if rows[i].Key != e.Key {
			continue
		}
		was := rows[i].Entry
		was.Time = e.Time
		if !was.Same(&e) {
			return entry.Receipt{}, false, fault.New(fault.Conflict, "bench.other-content")
		}
		return entry.Receipt{Stream: e.Stream, Seq: rows[i].Seq, Head: rows[i].Hash.String()}, true, nil
	}
	if err := b.AppendShop(ctx, []entry.Entry{e}); err != nil {
		return entry.Receipt{}, false, err
	}
	rows, err = b.store.Rows(ctx, entry.ShopStream, int64(len(rows)+1))
	if err != nil {
		return entry.Receipt{}, false, err
	}
	for i := range rows {
		if rows[i].Key == e.Key {
			return entry.Receipt{Stream: e.Stream, Seq: rows[i].Seq, Head: rows[i].Hash.String()}, false, nil
		}
	}
	return entry.Receipt{}, false, fault.New(fault.Broken, "store.receipt-lost", "stream", e.Stream, "sequence", strconv.Itoa(len(rows)+1))
}
