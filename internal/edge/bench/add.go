package bench

import (
	"context"
	"regexp"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
)

// Adding says that the shop owns a gauge or master, or says anew what is known
// of one.
type Adding struct {
	shop.GaugeV1
	Change         bool // of a gauge that the shop has; its calibrations and checks stay
	Person, Device string
	Key            entry.Key // zero takes one made of the content
	Time           int64     // writer's clock, µs; 0 takes the bench's
}

// Added is what became of it.
type Added struct {
	entry.Receipt
	Again bool // the shop knows it like this already; nothing was added
	Gauge shop.GaugeV1
}

// AddGauge stores a gauge of the shop.
//
// Errors: every problem at once, each with the field it belongs to as its path.
func (b *Bench) AddGauge(ctx context.Context, in Adding) (Added, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Added{}, err
	}
	p := in.GaugeV1
	p.Serial, p.Note = strings.TrimSpace(p.Serial), strings.TrimSpace(p.Note)
	if faults := b.adding(sh, &in, p); len(faults) > 0 {
		return Added{}, faults
	}
	o := Added{Gauge: p}
	if g := sh.Gauges[p.Gauge]; g != nil && g.GaugeV1 == p {
		o.Again = true
		return o, nil
	}
	key := in.Key
	if key == (entry.Key{}) {
		key = contentKey("gauge known", p.Gauge, p.Type, p.Serial, p.Master, p.Note, sh.Head.String())
	}
	e, err := entry.New(entry.ShopStream, key, entry.GaugeKnown, in.Person, in.Device, b.when(in.Time), p)
	if err != nil {
		return o, err
	}
	o.Receipt, o.Again, err = b.writeShop(ctx, e)
	return o, err
}

// plainID is what a gauge may be called.
var plainID = regexp.MustCompile(`^[a-zA-Z0-9._-]{1,64}$`)

func (b *Bench) adding(sh *shop.State, in *Adding, p shop.GaugeV1) (faults fault.List) {
	say := func(field string, code fault.Code, key string, pairs ...string) {
		faults = append(faults, fault.New(code, key, pairs...).In(field))
	}
	if !plainID.MatchString(p.Gauge) {
		say("gauge", fault.Invalid, "readings.bad-id", "found", cut(p.Gauge))
	}
	kind, ok := b.library.Instruments[p.Type]
	if !ok {
		say("type", fault.Invalid, "readings.unknown-instrument", "found", cut(p.Type))
	}
	g := sh.Gauges[p.Gauge]
	switch {
	case g != nil && g.GaugeV1 != p && !in.Change:
		say("gauge", fault.Conflict, "bench.gauge-exists", "found", p.Gauge, "type", g.Type)
	case g == nil && in.Change:
		say("gauge", fault.Missing, "bench.unknown-gauge", "found", cut(p.Gauge))
	case g != nil && ok && b.library.Instruments[g.Type].Quantity != kind.Quantity:
		say("type", fault.Conflict, "bench.other-quantity", "found", kind.Quantity, "expected", b.library.Instruments[g.Type].Quantity)
	}
	switch m := sh.Gauges[p.Master]; {
	case p.Master == "":
	case p.Master == p.Gauge:
		say("master", fault.Invalid, "bench.own-master", "found", cut(p.Master))
	case m == nil:
		say("master", fault.Missing, "bench.unknown-master", "found", cut(p.Master))
	case ok && b.library.Instruments[m.Type].Quantity != kind.Quantity:
		say("master", fault.Invalid, "bench.wrong-gauge", "found", p.Master, "kind", b.library.Instruments[m.Type].Quantity, "expected", kind.Quantity)
	}
	faults = append(append(faults, tooLong("serial", p.Serial)...), tooLong("note", p.Note)...)
	return append(faults, personFaults(sh, in.Person)...)
}
