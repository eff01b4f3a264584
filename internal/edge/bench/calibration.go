package bench

import (
	"context"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
)

// Calibration is a calibration as a person types it from a paper: one number for
// the whole range.
type Calibration struct {
	Gauge          string
	Date, Due      string // days, as 2027-01-31; Due "" where none is set
	Bias, Expanded string
	Unit           string
	Coverage       string
	Certificate    string // number of the paper
	Mark           byte

	Person, Device string
	Key            entry.Key
	Time           int64 // writer's clock, µs; 0 takes the bench's
}

// Typed is what a typed calibration would do, or did.
type Typed struct {
	entry.Receipt
	Again       bool
	Calibration shop.CalibratedV1
	Reopened    []Reopened // of an offer
}

// OfferTyped checks a typed calibration and says which verdicts it would change.
//
// Errors: every problem at once, each with the field it belongs to as its path.
func (b *Bench) OfferTyped(ctx context.Context, in Calibration) (Typed, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Typed{}, err
	}
	t, e, err := b.typed(sh, in)
	if err != nil {
		return t, err
	}
	t.Reopened, err = b.reopens(ctx, sh, in.Gauge, e)
	return t, err
}

// RecordCalibration stores a typed calibration.
//
// Errors: as of OfferTyped.
func (b *Bench) RecordCalibration(ctx context.Context, in Calibration) (Typed, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Typed{}, err
	}
	t, e, err := b.typed(sh, in)
	if err != nil {
		return t, err
	}
	t.Receipt, t.Again, err = b.writeShop(ctx, e)
	return t, err
}

func (b *Bench) typed(sh *shop.State, in Calibration) (Typed, entry.Entry, error) {
	p := shop.CalibratedV1{Gauge: in.Gauge, Unit: in.Unit, Certificate: strings.TrimSpace(in.Certificate)}
	_, kind, faults := b.known(sh, in.Gauge, "gauge")
	if len(faults) > 0 {
		return Typed{}, entry.Entry{}, faults
	}
	if in.Mark == 0 {
		in.Mark = '.'
	}
	dim := kind.Resolution.Dim
	quantity := func(field, text, as string, dim unit.Dim) unit.Quantity {
		if strings.TrimSpace(text) == "" {
			faults = append(faults, fault.New(fault.Invalid, "bench.no-value").In(field))
			return unit.Quantity{}
		}
		q, err := unit.Parse(text, as, in.Mark)
		for _, f := range fault.All(err) {
			faults = append(faults, f.In(field))
		}
		if err == nil && q.Dim != dim {
			faults = append(faults, fault.New(fault.Invalid, "bench.wrong-unit", "found", q.Unit, "expected", strings.Join(unit.Names(dim), ", ")).In("unit"))
		}
		return q
	}
	bias, expanded := quantity("bias", in.Bias, in.Unit, dim), quantity("expanded", in.Expanded, in.Unit, dim)
	k := quantity("coverage", in.Coverage, "1", unit.Number)
	if len(faults) == 0 {
		same, ok := expanded.In(bias.Unit)
		switch {
		case !ok:
			faults = append(faults, fault.New(fault.Invalid, "bench.wrong-unit", "found", expanded.Unit, "expected", bias.Unit).In("expanded"))
		case same.N <= 0:
			faults = append(faults, fault.New(fault.Invalid, "bench.not-positive", "found", expanded.String()).In("expanded"))
		}
		if k.SI() < 1 || k.SI() > 10 {
			faults = append(faults, fault.New(fault.Invalid, "bench.coverage", "found", k.Text, "least", "1", "most", "10").In("coverage"))
		}
		p.Bias, p.Expanded, p.Unit, p.Coverage = bias.Text, same.Text, bias.Unit, k.Text
	}
	date, err := time.Parse(dayForm, strings.TrimSpace(in.Date))
	switch {
	case err != nil:
		faults = append(faults, fault.New(fault.Invalid, "bench.no-day", "found", cut(in.Date)).In("date"))
	case date.UnixMicro() > b.now():
		faults = append(faults, fault.New(fault.Invalid, "bench.future-day", "found", cut(in.Date)).In("date"))
	default:
		p.Date = date.UnixMicro()
	}
	if due := strings.TrimSpace(in.Due); due != "" {
		next, err := time.Parse(dayForm, due)
		if err != nil || p.Date != 0 && !next.After(date) {
			faults = append(faults, fault.New(fault.Invalid, "bench.due", "found", cut(due), "end", cut(in.Date)).In("due"))
		} else {
			p.Due = next.UnixMicro()
		}
	}
	if len([]rune(p.Certificate)) > mostNote {
		p.Certificate = cut(p.Certificate)
	}
	faults = append(faults, personFaults(sh, in.Person)...)
	if err := faults.OrNil(); err != nil {
		return Typed{}, entry.Entry{}, err
	}
	e, err := entry.New(entry.ShopStream, in.Key, entry.Calibrated, in.Person, in.Device, b.when(in.Time), p)
	return Typed{Calibration: p}, e, err
}
