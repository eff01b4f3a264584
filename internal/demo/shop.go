package demo

import (
	"time"

	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
)

// entries opens the shop's log: its people, its gauges and their calibrations.
// They are the same for every job of one seed.
func (s *Shop) entries(b *bench, luck chance) []entry.Entry {
	start, err := time.Parse(time.RFC3339, s.Start)
	if err != nil {
		panic("demo: Load has checked the start: " + err.Error())
	}
	now := start.UnixMicro()
	var out []entry.Entry
	put := func(kind entry.Kind, payload any, name string) {
		now += 40e6
		out = append(out, made(entry.ShopStream, luck, kind, s.By, now, payload, name))
	}
	for _, p := range s.People {
		put(entry.PersonKnown, shop.PersonV1{Person: p.ID, Initials: p.Initials, Role: p.Role}, p.ID)
	}
	for _, id := range b.order {
		g := b.tools[id]
		put(entry.GaugeKnown, shop.GaugeV1{Gauge: g.ID, Type: g.Type, Serial: g.Serial, Master: g.Master, Note: g.Note}, g.ID)
		if g.Expanded.IsZero() {
			continue
		}
		put(entry.Calibrated, shop.CalibratedV1{Gauge: g.ID, Date: start.AddDate(0, 0, -20).UnixMicro(),
			Due: start.AddDate(1, 0, -20).UnixMicro(), Bias: g.stated, Unit: g.Expanded.Unit,
			Expanded: unit.Format(g.Expanded.SI(), g.Expanded.Unit, decimals(g.Gauge)), Coverage: "2",
			Certificate: "invented-" + g.ID}, g.ID)
	}
	for _, m := range s.Machines {
		put(entry.MachineKnown, m, m.Machine)
	}
	for _, f := range s.Fixtures {
		put(entry.FixtureKnown, f, f.Fixture)
	}
	if s.Terms != nil {
		put(entry.Terms, *s.Terms, "terms")
	}
	return out
}
