package bench

import (
	"context"
	"sort"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/gauge"
	"fettle/internal/know/instrument"
)

// Gauge is a gauge or master of the shop as it stands now.
type Gauge struct {
	shop.GaugeV1
	Kind        instrument.Instrument
	Calibration *shop.Calibration // in force; nil where there is none
	Overdue     bool
	Sessions    []gauge.Session // the last day of each master, the one used last first
	Twice       *gauge.Twice    // what two pairs of hands found on parts; of one gauge only, nil where no place was read by two
}

// Gauges lists the gauges of the shop by id.
func (b *Bench) Gauges(ctx context.Context) ([]Gauge, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return nil, err
	}
	ids := make([]string, 0, len(sh.Gauges))
	for id := range sh.Gauges {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	out := make([]Gauge, len(ids))
	for i, id := range ids {
		out[i] = b.gaugeNow(sh, sh.Gauges[id])
	}
	return out, nil
}

// Gauge is one gauge of the shop.
//
// Errors: missing where the shop has none of this id.
func (b *Bench) Gauge(ctx context.Context, id string) (Gauge, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Gauge{}, err
	}
	g := sh.Gauges[id]
	if g == nil {
		return Gauge{}, fault.New(fault.Missing, "bench.unknown-gauge", "found", id)
	}
	out := b.gaugeNow(sh, g)
	var jobs []*job.State
	heads, err := b.store.Streams(ctx)
	if err != nil {
		return out, err
	}
	for _, h := range heads {
		name, ok := strings.CutPrefix(h.Stream, entry.JobStream(""))
		if !ok {
			continue
		}
		st, err := b.states.Job(ctx, name)
		if err != nil {
			return out, err
		}
		jobs = append(jobs, st)
	}
	if t, ok := gauge.FromParts(id, jobs); ok {
		out.Twice = &t
	}
	return out, nil
}

func (b *Bench) gaugeNow(sh *shop.State, g *shop.Gauge) Gauge {
	out := Gauge{GaugeV1: g.GaugeV1, Kind: b.library.Instruments[g.Type]}
	now := b.now()
	if c, ok := g.At(now); ok {
		out.Calibration = &c
		out.Overdue = c.Overdue(now)
	}
	for _, st := range sh.Study(g.GaugeV1.Gauge) {
		if s, ok := gauge.Judge(sh, b.library, st, st.Checks[len(st.Checks)-1].Day()); ok {
			out.Sessions = append(out.Sessions, s)
		}
	}
	return out
}

// Check is one person's reading of a master: texts, as typed.
type Check struct {
	Gauge, Master string // Master "" takes the gauge's usual one
	True, Read    string
	Unit          string
	Mark          byte

	Person, Device string
	Key            entry.Key
	Time           int64 // writer's clock, µs; 0 takes the bench's
}

// Checked is what became of a check.
type Checked struct {
	entry.Receipt
	Again   bool
	Check   shop.MasterCheckV1
	Session *gauge.Session // of the day of the check, with it; nil where it cannot be told
}

// RecordCheck checks and stores one reading of a master, and says what the
// session amounts to with it.
//
// Errors: every problem at once, each with the field it belongs to as its path.
func (b *Bench) RecordCheck(ctx context.Context, in Check) (Checked, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Checked{}, err
	}
	p, faults := b.check(sh, &in)
	if err := faults.OrNil(); err != nil {
		return Checked{}, err
	}
	e, err := entry.New(entry.ShopStream, in.Key, entry.MasterCheck, in.Person, in.Device, b.when(in.Time), p)
	if err != nil {
		return Checked{}, err
	}
	d := Checked{Check: p}
	if d.Receipt, d.Again, err = b.writeShop(ctx, e); err != nil {
		return d, err
	}
	if sh, err = b.Shop(ctx); err != nil {
		return d, err
	}
	for _, st := range sh.Study(p.Gauge) {
		if s, ok := gauge.Judge(sh, b.library, st, shop.Day(e.Time)); ok && st.Master == p.Master {
			d.Session = &s
		}
	}
	return d, nil
}

// check turns a check as given into the payload of its entry.
func (b *Bench) check(sh *shop.State, in *Check) (shop.MasterCheckV1, fault.List) {
	p := shop.MasterCheckV1{Gauge: in.Gauge, Master: in.Master}
	g, kind, faults := b.known(sh, in.Gauge, "gauge")
	if len(faults) > 0 {
		return p, faults
	}
	if p.Master == "" {
		p.Master = g.Master
	}
	switch {
	case p.Master == "":
		faults = append(faults, fault.New(fault.Invalid, "bench.which-master").In("master"))
	case p.Master == in.Gauge:
		faults = append(faults, fault.New(fault.Invalid, "bench.own-master", "found", in.Gauge).In("master"))
	case sh.Gauges[p.Master] == nil:
		faults = append(faults, fault.New(fault.Invalid, "bench.unknown-master", "found", p.Master).In("master"))
	}
	if in.Mark == 0 {
		in.Mark = '.'
	}
	if in.Mark != '.' && in.Mark != ',' {
		return p, append(faults, fault.New(fault.Invalid, "bench.bad-mark", "found", string(rune(in.Mark))).In("mark"))
	}
	size := number(&faults, "true", in.True, in, kind)
	read := number(&faults, "read", in.Read, in, kind)
	faults = append(faults, personFaults(sh, in.Person)...)
	if len(faults) > 0 {
		return p, faults
	}
	// One unit for both: that of the reading.
	same, ok := size.In(read.Unit)
	if !ok {
		return p, append(faults, fault.New(fault.Invalid, "bench.wrong-unit", "found", size.Unit, "expected", read.Unit).In("true"))
	}
	p.True, p.Read, p.Unit = same.Text, read.Text, read.Unit
	return p, nil
}

// number reads one number of a check.
func number(faults *fault.List, field, text string, in *Check, kind instrument.Instrument) unit.Quantity {
	if strings.TrimSpace(text) == "" {
		*faults = append(*faults, fault.New(fault.Invalid, "bench.no-value").In(field))
		return unit.Quantity{}
	}
	q, err := unit.Parse(text, in.Unit, in.Mark)
	for _, f := range fault.All(err) {
		*faults = append(*faults, f.In(field))
	}
	if err == nil && q.Dim != kind.Resolution.Dim {
		*faults = append(*faults, fault.New(fault.Invalid, "bench.wrong-unit", "found", q.Unit, "expected", strings.Join(unit.Names(kind.Resolution.Dim), ", ")).In("unit"))
	}
	return q
}

// Leaned are the verdicts of one job that leaned on a gauge.
type Leaned struct {
	Job, Title string
	Leans      []gauge.Lean
}

// LeanedOn lists the verdicts of every job that leaned on a gauge from one time
// to another, µs since 1970; 0 is an open end.
func (b *Bench) LeanedOn(ctx context.Context, id string, from, to int64) ([]Leaned, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return nil, err
	}
	if sh.Gauges[id] == nil {
		return nil, fault.New(fault.Missing, "bench.unknown-gauge", "found", id)
	}
	var out []Leaned
	err = b.users(ctx, sh, id, func(j *Judged) error {
		if l := gauge.Leaned(j.Assessment, id, from, to); len(l) > 0 {
			out = append(out, Leaned{j.Assessment.Job, j.Assessment.Title, l})
		}
		return nil
	})
	return out, err
}
