package bench

import (
	"context"
	"encoding/json"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/readings"
	"fettle/internal/facts/shop"
)

// Taken is a file of readings as it was understood, or as it was stored.
type Taken struct {
	Sheet  readings.Sheet
	Fresh  int // readings that were not stored before
	Judged *Judged
}

// Preview reads a file of readings for a job and stores nothing.
func (b *Bench) Preview(ctx context.Context, id, name string, text []byte) (Taken, error) {
	j, err := b.Judge(ctx, id)
	if err != nil {
		return Taken{}, err
	}
	types := map[string]bool{}
	for t := range b.library.Instruments {
		types[t] = true
	}
	sheet, faults := readings.Parse(name, text, j.Layout, types)
	if len(faults) > 0 {
		return Taken{}, faults
	}
	if sheet.Job != "" && sheet.Job != id {
		return Taken{}, fault.List{fault.New(fault.Conflict, "bench.other-job", "found", sheet.Job, "chosen", id).At(name, 1, 1)}
	}
	return Taken{Sheet: sheet, Judged: j}, nil
}

// Take stores a file of readings, all or nothing. The same file taken twice
// adds nothing: its entries have keys of their content.
func (b *Bench) Take(ctx context.Context, id, name string, text []byte) (Taken, error) {
	t, err := b.Preview(ctx, id, name, text)
	if err != nil {
		return t, err
	}
	shopEntries, err := t.Sheet.ShopEntries()
	if err != nil {
		return t, err
	}
	if err := b.AppendShop(ctx, b.dated(unknown(t.Judged.Shop, shopEntries))); err != nil {
		return t, err
	}
	s := b.slot(id)
	s.mu.Lock()
	defer s.mu.Unlock()
	stream := entry.JobStream(id)
	list, err := t.Sheet.Entries(stream, t.Sheet.Keys(stream))
	if err != nil {
		return t, err
	}
	known := map[string]bool{}
	st, err := b.states.Job(ctx, id)
	if err != nil {
		return t, err
	}
	for i := range st.Lines {
		known[st.Lines[i].Key] = true
	}
	var fresh []entry.Entry
	for _, e := range list {
		if !known[e.Key.String()] {
			fresh = append(fresh, e)
		}
	}
	t.Fresh = len(fresh)
	if _, err := b.store.Append(ctx, b.dated(fresh)); err != nil {
		return t, err
	}
	t.Judged, err = b.judge(ctx, id, s)
	return t, err
}

// dated gives entries without a time the bench's.
func (b *Bench) dated(list []entry.Entry) []entry.Entry {
	now := b.now()
	out := append([]entry.Entry(nil), list...)
	for i := range out {
		if out[i].Time == 0 {
			out[i].Time = now
		}
	}
	return out
}

// unknown keeps the people and gauges that the shop does not know yet: what it
// knows, a file does not change.
func unknown(s *shop.State, list []entry.Entry) []entry.Entry {
	var out []entry.Entry
	for _, e := range list {
		var p struct{ Person, Gauge string }
		if json.Unmarshal(e.Payload, &p) != nil {
			continue
		}
		if _, ok := s.People[p.Person]; ok && p.Person != "" {
			continue
		}
		if _, ok := s.Gauges[p.Gauge]; ok && p.Gauge != "" {
			continue
		}
		out = append(out, e)
	}
	return out
}

// AppendShop writes to the shop's log; every job is judged again when it is
// asked for next.
func (b *Bench) AppendShop(ctx context.Context, list []entry.Entry) error {
	if len(list) == 0 {
		return nil
	}
	if _, err := b.store.Append(ctx, list); err != nil {
		return err
	}
	return b.shopAgain(ctx)
}

// shopAgain takes up what was written to the shop's log.
func (b *Bench) shopAgain(ctx context.Context) error {
	sh, err := b.states.Shop(ctx)
	if err != nil {
		return err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.shop = sh
	return nil
}

// Open opens a job with its entries, which must be of its stream.
func (b *Bench) Open(ctx context.Context, opened job.OpenedV1, person, device string, key entry.Key) (entry.Receipt, error) {
	l := b.Library().Families[opened.Family]
	if l == nil {
		return entry.Receipt{}, fault.List{fault.New(fault.Missing, "bench.no-family", "family", opened.Family).In("family")}
	}
	opened.Digest = l.Digest
	sh, err := b.Shop(ctx)
	if err != nil {
		return entry.Receipt{}, err
	}
	faults := append(personFaults(sh, person), tooLong("title", opened.Title)...)
	if opened.Title == "" {
		faults = append(faults, fault.New(fault.Invalid, "bench.no-title").In("title"))
	}
	s := b.slot(opened.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	if st, err := b.states.Job(ctx, opened.Job); err == nil && st.Seq > 0 {
		faults = append(faults, fault.New(fault.Conflict, "bench.job-exists", "found", opened.Job).In("job"))
	}
	if err := faults.OrNil(); err != nil {
		return entry.Receipt{}, err
	}
	e, err := entry.New(entry.JobStream(opened.Job), key, entry.JobOpened, person, device, b.now(), opened)
	if err != nil {
		return entry.Receipt{}, err
	}
	if err := e.Check(); err != nil {
		return entry.Receipt{}, fault.List{fault.New(fault.Invalid, "bench.bad-job", "found", opened.Job).In("job")}
	}
	got, err := b.store.Append(ctx, []entry.Entry{e})
	if err != nil {
		return entry.Receipt{}, err
	}
	_, err = b.judge(ctx, opened.Job, s)
	return got[0], err
}
