package bench

import (
	"context"
	"slices"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
)

// Equipping says what machine or fixture the shop has, or says it anew: exactly
// one of the two.
type Equipping struct {
	Machine        *shop.MachineV1
	Fixture        *shop.FixtureV1
	Person, Device string
	Key            entry.Key // zero takes one made of the content
	Time           int64     // writer's clock, µs; 0 takes the bench's
}

// Equip stores a machine or fixture of the shop; again says that it is known
// like this already.
//
// Errors: every problem at once, each with the field it belongs to as its path.
func (b *Bench) Equip(ctx context.Context, in Equipping) (got entry.Receipt, again bool, err error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return got, false, err
	}
	faults := personFaults(sh, in.Person)
	say := func(field string, code fault.Code, key, found string) {
		faults = append(faults, fault.New(code, key, "found", cut(found)).In(field))
	}
	c := b.library.Operations()
	kind, id, payload, known := entry.MachineKnown, "", any(nil), false
	var parts []string
	if m := in.Machine; m != nil {
		m.Note = strings.TrimSpace(m.Note)
		id, payload, known = m.Machine, *m, sh.Machines[m.Machine] == *m && m.Machine != ""
		parts = []string{m.Type, m.Note}
		if _, ok := c.Machine(m.Type); !ok {
			say("type", fault.Invalid, "operation.no-machine", m.Type)
		}
		faults = append(faults, tooLong("note", m.Note)...)
	} else if f := in.Fixture; f != nil {
		f.Note = strings.TrimSpace(f.Note)
		was := sh.Fixtures[f.Fixture]
		kind, id, payload = entry.FixtureKnown, f.Fixture, *f
		known = was.Fixture != "" && was.Type == f.Type && was.Note == f.Note && was.Gone == f.Gone && slices.Equal(was.Families, f.Families)
		parts = append([]string{f.Type, f.Note}, f.Families...)
		t, ok := c.Fixture(f.Type)
		if !ok {
			say("type", fault.Invalid, "operation.no-fixture", f.Type)
		}
		if t.Family && len(f.Families) == 0 {
			say("families", fault.Invalid, "bench.fixture-family", f.Type)
		}
		for _, x := range f.Families {
			if b.Library().Families[x] == nil {
				say("families", fault.Missing, "bench.fixture-of", x)
			}
		}
		faults = append(faults, tooLong("note", f.Note)...)
	}
	if !plainID.MatchString(id) {
		say("id", fault.Invalid, "readings.bad-id", id)
	}
	if len(faults) > 0 {
		return got, false, faults
	}
	if known {
		return got, true, nil
	}
	key := in.Key
	if key == (entry.Key{}) {
		key = contentKey(append([]string{string(kind), id, sh.Head.String()}, parts...)...)
	}
	e, err := entry.New(entry.ShopStream, key, kind, in.Person, in.Device, b.when(in.Time), payload)
	if err != nil {
		return got, false, err
	}
	return b.writeShop(ctx, e)
}
