package assess

import (
	"strconv"
	"testing"

	"fettle/internal/facts/job"
)

// Everything in these laws is synthetic. Each undecided value below names an
// act; the act is carried out with readings that show the same size, and must
// decide. Without it nothing would have changed.

type bout struct {
	name string
	with []string
	read func(b *book)
	at   string
	act  string
	done func(b *book, say *Say)
}

func shown(p, v, g, temp string) job.ReadingV1 {
	return job.ReadingV1{Position: p, Value: v, Gauge: g, PartTemp: temp, GaugeTemp: temp}
}

func bouts() []bout {
	main := func(n int, v string) func(b *book) {
		return func(b *book) {
			b.owns("M1", "micrometer", "")
			for range n {
				b.sees(shown("crank/main/1", v, "M1", "20.0"))
			}
		}
	}
	again := func(p, v, g, temp string) func(*book, *Say) {
		return func(b *book, s *Say) {
			n, _ := strconv.Atoi(s.Args["times"])
			for range n {
				b.sees(shown(p, v, g, temp))
			}
		}
	}
	fine := []string{"conditions:\n", "- {id: fine, name: {en: Fine}, quantity: length, resolution: 0.1 µm, repeat: 0.1 µm, bias: 0.2 µm, material: steel, minutes: 30, source: made-up, status: from memory}\nconditions:\n",
		"  gauges: [micrometer]\n  nominal: 50.000 mm", "  gauges: [micrometer, fine]\n  nominal: 50.000 mm"}
	return []bout{
		{name: "once more", read: main(1, "49.9826"), at: "crank/main/1", act: "act.repeat", done: again("crank/main/1", "49.9826", "M1", "20.0")},
		{name: "two already", read: main(2, "49.98242"), at: "crank/main/1", act: "act.repeat", done: again("crank/main/1", "49.98242", "M1", "20.0")},
		{name: "too near for repeats of two", read: main(2, "49.98238"), at: "crank/main/1", act: "act.none"},
		{name: "temperature was taken", read: func(b *book) {
			b.owns("M1", "micrometer", "")
			b.sees(shown("piston/skirt/1", "79.95236", "M1", "20.0"))
		}, with: []string{"  nominal: 79.950 mm", "  nominal: 79.950 mm\n  limits:\n  - {for: reuse, min: 79.950 mm, source: made-up, status: invented for the demo}",
			"repeat: 0.8 µm, bias: 1.4 µm", "repeat: 0.1 µm, bias: 1.4 µm", "expansion: \"20.0", "expansion: \"40.0"}, at: "piston/skirt/1", act: "act.none"},
		{name: "temperature was not taken", read: func(b *book) {
			b.owns("M1", "micrometer", "")
			b.sees(shown("piston/skirt/1", "79.9530", "M1", ""))
		}, with: []string{"  nominal: 79.950 mm", "  nominal: 79.950 mm\n  limits:\n  - {for: reuse, min: 79.950 mm, source: made-up, status: invented for the demo}"}, at: "piston/skirt/1", act: "act.temperature",
			done: func(b *book, _ *Say) {
				b.rows = b.rows[:1]
				b.sees(shown("piston/skirt/1", "79.9530", "M1", "20.0"))
			}},
		{name: "one bore is no pair", read: func(b *book) {
			b.owns("M1", "micrometer", "")
			b.owns("B1", "bore-gauge", "M1")
			b.sees(shown("block/bore/1/H2/T", "80.0480", "B1", "20.0"))
		}, at: "block/bore/1/H2/T", act: "act.none"},
		{name: "two micrometers", read: func(b *book) {
			b.owns("M1", "micrometer", "")
			b.owns("M2", "micrometer", "")
			b.owns("B1", "bore-gauge", "M2")
			b.sees(shown("block/tunnel/1", "53.9927", "B1", "20.0"))
			b.sees(shown("crank/main/1", "49.9900", "M1", "20.0"))
		}, at: "crank/gap/1", with: []string{"min: 4.000 mm, max: 4.080 mm", "min: 4.000 mm, max: 4.080 mm"}, act: "act.one-gauge",
			done: func(b *book, s *Say) {
				if s.Args["first"] != "B1" || s.Args["second"] != "M1" {
					b.t.Errorf("set %s on %s", s.Args["first"], s.Args["second"])
				}
				b.shop, b.rows = nil, b.rows[:1]
				b.owns("M1", "micrometer", "")
				b.owns("B1", "bore-gauge", "M1")
				b.sees(shown("block/tunnel/1", "53.9927", "B1", "20.0"))
				b.sees(shown("crank/main/1", "49.9900", "M1", "20.0"))
			}},
		{name: "a better gauge", with: fine, read: main(1, "49.9812"), at: "crank/main/1", act: "act.better-gauge",
			done: func(b *book, s *Say) {
				b.owns("F1", s.Args["gauge"], "")
				b.rows = b.rows[:1]
				b.sees(shown("crank/main/1", "49.98120", "F1", "20.0"))
			}},
		{name: "a better gauge on a warm part", with: append([]string{"  gauges: [micrometer]\n  nominal: 79.950 mm",
			"  gauges: [micrometer, fine]\n  nominal: 79.950 mm\n  limits:\n  - {for: reuse, min: 79.950 mm, source: made-up, status: invented for the demo}"}, fine[:2]...),
			read: func(b *book) {
				b.owns("M1", "micrometer", "")
				b.sees(shown("piston/skirt/1", "79.9505", "M1", "20.0"))
			}, at: "piston/skirt/1", act: "act.none"},
	}
}

// Law: an act that is named decides, and none is named that would not.
func TestLawActsDecide(t *testing.T) {
	for _, c := range bouts() {
		t.Run(c.name, func(t *testing.T) {
			k := tinyWith(t, c.with...)
			b := open(t)
			c.read(b)
			v := b.value(k, c.at)
			if v.Verdict != Undecided || v.Act == nil {
				t.Fatalf("%s ± %s is %s", v.Y, v.U, v.Verdict)
			}
			if v.Act.Key != c.act {
				t.Fatalf("%s ± %s: %s %v, want %s", v.Y, v.U, v.Act.Key, v.Act.Args, c.act)
			}
			if c.done == nil {
				return
			}
			c.done(b, v.Act)
			if w := b.value(k, c.at); w.Verdict == Undecided {
				t.Errorf("%v does not decide: %s ± %s, before ± %s", v.Act, w.Y, w.U, v.U)
			}
		})
	}
}
