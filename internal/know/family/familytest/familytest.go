// Package familytest writes complete small families for tests: any number of
// cylinders, valves, banks, valve trains and drives that the format allows.
// Every figure is synthetic and belongs to no engine; the same arguments give
// the same bytes.
package familytest

import (
	"fmt"
	"strings"
)

// Spec names one engine of the grid.
type Spec struct {
	Cylinders, Inlet, Exhaust int
	Layout                    string // inline, vee, flat
	Valvetrain                string // pushrod, bucket, finger
	Drive                     string // chain, belt, gear
}

// String names the engine, as its family id does.
func (s Spec) String() string {
	return fmt.Sprintf("grid-%s-%d-%d-%d-%s-%s", s.Layout, s.Cylinders, s.Inlet, s.Exhaust, s.Valvetrain, s.Drive)
}

// Text returns the family file of the engine.
func (s Spec) Text() []byte {
	return Generate(s.Cylinders, s.Inlet, s.Exhaust, s.Layout, s.Valvetrain, s.Drive)
}

// Grid lists 1 to 16 cylinders × 2 to 5 valves × the layouts, with the valve
// trains and the drives taken in turn so that each meets each layout and each
// number of valves.
func Grid() []Spec {
	var out []Spec
	trains, drives := Valvetrains(), Drives()
	for cyl := 1; cyl <= 16; cyl++ {
		for v, valves := range [][2]int{{1, 1}, {2, 1}, {2, 2}, {3, 2}} {
			for i, layout := range Layouts() {
				out = append(out, Spec{cyl, valves[0], valves[1], layout, trains[(cyl+v+i)%3], drives[(cyl/3+2*v+i)%3]})
			}
		}
	}
	return out
}

// All lists 1 to 16 cylinders × 2 to 5 valves × each layout × each drive: 576
// engines, with the valve trains taken in turn so that each meets each drive.
func All() []Spec {
	var out []Spec
	trains := Valvetrains()
	for cyl := 1; cyl <= 16; cyl++ {
		for v, valves := range [][2]int{{1, 1}, {2, 1}, {2, 2}, {3, 2}} {
			for i, layout := range Layouts() {
				for k, drive := range Drives() {
					out = append(out, Spec{cyl, valves[0], valves[1], layout, trains[(cyl+v+2*i+k)%3], drive})
				}
			}
		}
	}
	return out
}

// Layouts, Valvetrains and Drives list the words of the format.
func Layouts() []string     { return []string{"inline", "vee", "flat"} }
func Valvetrains() []string { return []string{"pushrod", "bucket", "finger"} }
func Drives() []string      { return []string{"chain", "belt", "gear"} }

// Generate returns a complete family file with a bench's usual patterns: bores
// at three heights and two axes, bridges, faces, journals, big ends, shells,
// pistons, rings, valves, lash, cams, drive, volumes, compression ratio and
// bolts. Limits carry the source invented-demo.
func Generate(cyl, inlet, exhaust int, layout, valvetrain, drive string) []byte {
	g := &generator{cyl: cyl, inlet: inlet, exhaust: exhaust, layout: layout, train: valvetrain, drive: drive}
	g.twoBanks = layout != "inline" && cyl > 1
	g.perBank = cyl
	if g.twoBanks {
		g.perBank = (cyl + 1) / 2
	}
	g.engine()
	g.components()
	g.line("characteristics:")
	g.block()
	g.bottom()
	g.top()
	g.rest()
	return []byte(g.b.String())
}

type generator struct {
	b                    strings.Builder
	cyl, inlet, exhaust  int
	layout, train, drive string
	twoBanks             bool
	perBank              int
}

func (g *generator) line(format string, args ...any) {
	fmt.Fprintf(&g.b, format+"\n", args...)
}

// cams returns the number of camshafts and the journals of one.
func (g *generator) cams() (shafts, journals int) {
	switch {
	case g.train == "pushrod":
		return 1, g.perBank + 1
	case g.twoBanks:
		return 4, g.perBank + 1
	}
	return 2, g.perBank + 1
}

// bankPattern puts the bank in front of a pattern where there are two.
func (g *generator) bankPattern(rest string) string {
	switch {
	case g.twoBanks && rest == "":
		return "[bank]"
	case g.twoBanks:
		return "[bank, " + rest + "]"
	}
	return "[" + rest + "]"
}
