package bench

import (
	"context"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
)

// Unsaying takes a calibration or a check that was entered wrongly out of all
// results. It stays in the log, with the reason.
type Unsaying struct {
	Gauge, Target  string // Target: key of its entry
	Reason         string
	Person, Device string
	Key            entry.Key
	Time           int64 // writer's clock, µs; 0 takes the bench's
}

// Unsaid is what a withdrawal would do, or did.
type Unsaid struct {
	entry.Receipt
	Again       bool
	Calibration *shop.Calibration // what is withdrawn: this,
	Check       *shop.Check       // or this
	Leaned      []Leaned          // verdicts that leaned on the calibration while it was in force; a check carries none
	Reopened    []Reopened        // what changes without it; of an offer only
}

// UnsayingKey is the key of the withdrawal of an entry, for who has made none.
func UnsayingKey(gauge, target string) entry.Key { return contentKey("withdrawal", gauge, target) }

// OfferUnsaying finds what a withdrawal is about and says which verdicts leaned
// on it and which would change. The words of the form are not asked for yet.
func (b *Bench) OfferUnsaying(ctx context.Context, in Unsaying) (Unsaid, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Unsaid{}, err
	}
	u, faults := b.unsay(sh, in)
	if err := faults.OrNil(); err != nil {
		return u, err
	}
	if u.Calibration == nil || u.Calibration.Void != nil {
		return u, nil
	}
	_, from, to := sh.Calibration(in.Target)
	if u.Leaned, err = b.LeanedOn(ctx, in.Gauge, from, to); err != nil {
		return u, err
	}
	e, err := b.unsayingEntry(in)
	if err != nil {
		return u, err
	}
	u.Reopened, err = b.reopens(ctx, sh, in.Gauge, e)
	return u, err
}

// Unsay stores a withdrawal.
//
// Errors: every problem at once, each with the field it belongs to as its path.
func (b *Bench) Unsay(ctx context.Context, in Unsaying) (Unsaid, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Unsaid{}, err
	}
	u, faults := b.unsay(sh, in)
	if len(faults) > 0 {
		return u, faults
	}
	if v := u.void(); v != nil && v.Key != in.Key.String() {
		return u, fault.List{fault.New(fault.Conflict, "bench.unsaid", "reason", v.Reason).In("target")}
	}
	if strings.TrimSpace(in.Reason) == "" {
		faults = append(faults, fault.New(fault.Invalid, "bench.no-shop-reason").In("reason"))
	}
	faults = append(append(faults, tooLong("reason", in.Reason)...), personFaults(sh, in.Person)...)
	if err := faults.OrNil(); err != nil {
		return u, err
	}
	if u.Calibration != nil {
		_, from, to := sh.Calibration(in.Target)
		if u.Leaned, err = b.LeanedOn(ctx, in.Gauge, from, to); err != nil {
			return u, err
		}
	}
	e, err := b.unsayingEntry(in)
	if err != nil {
		return u, err
	}
	u.Receipt, u.Again, err = b.writeShop(ctx, e)
	return u, err
}

func (b *Bench) unsayingEntry(in Unsaying) (entry.Entry, error) {
	return entry.New(entry.ShopStream, in.Key, entry.Withdrawal, in.Person, in.Device, b.when(in.Time),
		shop.WithdrawalV1{Target: in.Target, Reason: strings.TrimSpace(in.Reason)})
}

// unsay finds the entry of a withdrawal, which must be one of its gauge.
func (b *Bench) unsay(sh *shop.State, in Unsaying) (Unsaid, fault.List) {
	if sh.Gauges[in.Gauge] == nil {
		return Unsaid{}, fault.List{fault.New(fault.Missing, "bench.unknown-gauge", "found", in.Gauge).In("gauge")}
	}
	if c, _, _ := sh.Calibration(in.Target); c != nil && c.Gauge == in.Gauge {
		return Unsaid{Calibration: c}, nil
	}
	if c := sh.Check(in.Target); c != nil && c.Gauge == in.Gauge {
		return Unsaid{Check: c}, nil
	}
	return Unsaid{}, fault.List{fault.New(fault.Missing, "bench.no-shop-entry", "found", cut(in.Target), "gauge", in.Gauge).In("target")}
}

// void is how the entry was withdrawn before, nil while it counts.
func (u *Unsaid) void() *shop.Void {
	if u.Calibration != nil {
		return u.Calibration.Void
	}
	return u.Check.Void
}

// Verdicts counts those that leaned on it.
func (u *Unsaid) Verdicts() int {
	n := 0
	for i := range u.Leaned {
		n += len(u.Leaned[i].Leans)
	}
	return n
}
