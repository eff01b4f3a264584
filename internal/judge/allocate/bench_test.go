package allocate

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// benchSix is a six of 24 valves, seven mains, six pins, with 400 parts on the
// shelf: 220 shims measured one by one, 60 + 60 half shells, 12 pistons to bores
// and six sets of three parts, 30 pieces.
func benchSix() (v []Valve, spares []Spare, mains, pins []Bearing, ms, ps []Shell, h []Hole, s []Shaft, sets []Piece) {
	r := rand.New(rand.NewPCG(41, 42))
	for i := range 24 {
		v = append(v, Valve{ID: fmt.Sprintf("v%02d", i), Shim: Size{N: mm(2.3) + um(float64(r.IntN(300))), U: 1000}, Lash: Size{N: mm(0.15) + um(float64(10*r.IntN(20))), U: 8000},
			Ratio: 1.5, Target: mm(0.225), Limits: between(0.20, 0.25)})
	}
	for i := range 220 {
		spares = append(spares, Spare{ID: fmt.Sprintf("s%03d", i), Size: Size{N: mm(2.2) + um(float64(r.IntN(500))), U: 1000}, Count: 1})
	}
	place := func(name string, n int, house, journal float64) (b []Bearing) {
		for i := range n {
			b = append(b, Bearing{ID: fmt.Sprint(name, i), Housing: Size{N: mm(house) + um(float64(r.IntN(8))), U: 1500}, Journal: Size{N: mm(journal) + um(float64(r.IntN(8))), U: 1000}, Limits: between(0.030, 0.060)})
		}
		return b
	}
	shelf := func(wall float64) (s []Shell) {
		for i := range 60 {
			k := r.IntN(4)
			s = append(s, Shell{ID: fmt.Sprintf("h%02d", i), Class: string(rune('a' + k)), Role: []string{"upper", "lower"}[i%2], Wall: Size{N: mm(wall) + um(float64(3*k+r.IntN(3))), U: 500}, Count: 1})
		}
		return s
	}
	mains, ms = place("main", 7, 66, 61.976), shelf(1.985)
	pins, ps = place("pin", 6, 53, 49.976), shelf(1.485)
	for i := range 6 {
		h = append(h, Hole{ID: fmt.Sprint("b", i), Size: Size{N: mm(85.005) + um(float64(r.IntN(10))), U: 1000}, Limits: between(0.045, 0.075)})
	}
	for i := range 12 {
		s = append(s, Shaft{ID: fmt.Sprintf("p%02d", i), Size: Size{N: mm(84.94) + um(float64(r.IntN(12))), U: 1000}})
	}
	for _, k := range []struct {
		kind string
		n    int
		m    int64
	}{{"piston", 6, 386_000}, {"pin", 8, 98_000}, {"rod", 6, 180_000}} {
		for i := range k.n {
			sets = append(sets, Piece{k.kind, fmt.Sprint(k.kind, i), Size{N: k.m + 100*r.Int64N(25), U: 100}})
		}
	}
	return
}

func BenchmarkSix(b *testing.B) {
	v, spares, mains, pins, ms, ps, h, s, sets := benchSix()
	ladder := []string{"a", "b", "c", "d"}
	step := func(name string, f func() error) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := f(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	shims := func() error {
		_, err := Shims(v, spares, ShimRules{Ladder: Rungs{From: mm(2), To: mm(3), Step: mm(0.02)}})
		return err
	}
	shells := func(places []Bearing, shelf []Shell, aim Aim) func() error {
		return func() error {
			p, err := Shells(places, shelf, ShellRules{Target: um(45), Aim: aim, Ladder: ladder, Steps: 1})
			if err == nil && p.Proof.Gap > 0 {
				b.Logf("gap %v nm", p.Proof.Gap)
			}
			return err
		}
	}
	pairs := func() error { _, err := Pairs(h, s, PairRules{Target: um(65), Aim: Target}); return err }
	weigh := func() error { _, err := Sets(sets); return err }
	step("shims", shims)
	for _, aim := range Aims() {
		step("mains-"+aim, shells(mains, ms, Aim(aim)))
	}
	step("pairs", pairs)
	step("sets", weigh)
	step("all", func() error {
		for _, f := range []func() error{shims, shells(mains, ms, Target), shells(pins, ps, Target), pairs, weigh} {
			if err := f(); err != nil {
				return err
			}
		}
		return nil
	})
}
