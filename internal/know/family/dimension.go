package family

import (
	"fmt"
	"strconv"

	"fettle/internal/know/words"
)

// Dim is an expanded dimension: the places of a pattern in order, named groups
// of them, where they lie, and which places of other dimensions they touch.
type Dim struct {
	Name   string
	Values []string
	Groups map[string][]string
	At     map[string][3]float64          // metres, in the drawing's axes
	Touch  map[string]map[string][]string // other dimension -> value -> its values
	Words  words.Text
}

// has reports whether a value or a group of that name covers v.
func (d *Dim) covers(names []string, v string) bool {
	for _, n := range names {
		if n == v {
			return true
		}
		for _, m := range d.Groups[n] {
			if m == v {
				return true
			}
		}
	}
	return false
}

func (d *Dim) knows(name string) bool {
	if _, ok := d.Groups[name]; ok {
		return true
	}
	for _, v := range d.Values {
		if v == name {
			return true
		}
	}
	return false
}

func count(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = strconv.Itoa(i + 1)
	}
	return out
}

// BankNames are the names of the banks in order.
func (e *Engine) BankNames() []string {
	return []string{"A", "B"}[:len(e.BankList())]
}

// BankList is the cylinder numbers of each bank from the free end.
func (e *Engine) BankList() [][]int {
	if len(e.Banks) > 0 {
		return e.Banks
	}
	if e.Layout == "inline" || e.Cylinders < 2 {
		return [][]int{upTo(1, e.Cylinders)}
	}
	half := (e.Cylinders + 1) / 2
	return [][]int{upTo(1, half), upTo(half+1, e.Cylinders)}
}

func upTo(a, b int) []int {
	var out []int
	for i := a; i <= b; i++ {
		out = append(out, i)
	}
	return out
}

// Pins is the number of crankpins.
func (e *Engine) Pins() int {
	if b := e.BankList(); e.SharedPins && len(b) == 2 {
		return max(len(b[0]), len(b[1]))
	}
	return e.Cylinders
}

// PinOf is the crankpin of a cylinder, from 1 at the free end.
func (e *Engine) PinOf(cyl int) int {
	banks, pin := e.BankList(), 0
	for i := range e.Cylinders {
		for _, bank := range banks {
			if i >= len(bank) {
				continue
			}
			pin++
			if bank[i] != cyl {
				continue
			}
			if e.SharedPins {
				return i + 1
			}
			return pin
		}
	}
	return cyl
}

// CamNames are the camshafts in order.
func (e *Engine) CamNames() []string {
	banks, n := e.BankNames(), e.Valvetrain.Camshafts
	switch {
	case n == 1:
		return []string{"C"}
	case n == 2 && len(banks) == 1:
		return []string{"IN", "EX"}
	case n == 2:
		return []string{"A", "B"}
	case n == 4 && len(banks) == 2:
		return []string{"A-IN", "A-EX", "B-IN", "B-EX"}
	}
	return count(n)
}

// Dims expands the built-in dimensions and those of the file; the file may
// replace a built-in one.
func (f *Family) Dims() map[string]*Dim {
	e := &f.Engine
	out := map[string]*Dim{}
	put := func(name string, values ...string) *Dim {
		d := &Dim{Name: name, Values: values, Groups: map[string][]string{},
			At: map[string][3]float64{}, Touch: map[string]map[string][]string{}}
		out[name] = d
		return d
	}
	spacing, depth := e.BoreSpacing.SI(), e.BoreDepth.SI()
	put("height", "H1", "H2", "H3").At = map[string][3]float64{
		"H1": {0, 0, 0.010}, "H2": {0, 0, depth / 2}, "H3": {0, 0, depth - 0.020}}
	put("axis", "T", "P")
	put("plane", "1", "2")
	put("half", "upper", "lower")
	link(put("bank", e.BankNames()...), "cyl")
	cyl := put("cyl", count(e.Cylinders)...)
	pin := put("pin", count(e.Pins())...)
	link(cyl, "pin")
	link(cyl, "bank")
	link(pin, "cyl")
	for b, bank := range e.BankList() {
		for i, c := range bank {
			v, p := strconv.Itoa(c), strconv.Itoa(e.PinOf(c))
			cyl.At[v] = [3]float64{float64(i) * spacing, float64(b), 0}
			cyl.Touch["pin"][v] = []string{p}
			name := e.BankNames()[b]
			cyl.Touch["bank"][v] = []string{name}
			out["bank"].Touch["cyl"][name] = append(out["bank"].Touch["cyl"][name], v)
			pin.Touch["cyl"][p] = append(pin.Touch["cyl"][p], v)
		}
	}
	for i, p := range pin.Values {
		pin.At[p] = [3]float64{float64(i) * spacing, 0, 0}
	}
	main := put("main", count(e.Mains)...)
	for i, m := range main.Values {
		main.At[m] = [3]float64{(float64(i) - 0.5) * spacing, 0, 0}
	}
	f.faces(put, out["bank"])
	valve := put("valve")
	for i := range e.Valves.Inlet {
		v := fmt.Sprintf("I%d", i+1)
		valve.Values = append(valve.Values, v)
		valve.Groups["inlet"] = append(valve.Groups["inlet"], v)
	}
	for i := range e.Valves.Exhaust {
		v := fmt.Sprintf("E%d", i+1)
		valve.Values = append(valve.Values, v)
		valve.Groups["exhaust"] = append(valve.Groups["exhaust"], v)
	}
	put("cam", e.CamNames()...)
	put("cam-journal", count(e.Valvetrain.CamMains)...)
	phaser := put("phaser")
	for _, p := range e.Phasers {
		phaser.Values = append(phaser.Values, p.Cam)
	}
	for _, b := range e.Fasteners {
		put(b.ID, count(b.Count)...)
	}
	for name, d := range f.Dimensions {
		values := d.Values
		if len(values) == 0 {
			values = count(d.Count)
		}
		own := put(name, values...)
		own.Words = d.Name
		for g, v := range d.Groups {
			own.Groups[g] = v
		}
		for v, p := range d.At {
			own.At[v] = [3]float64{p.X.SI(), p.Y.SI(), p.Z.SI()}
		}
	}
	return out
}

func link(d *Dim, other string) {
	if d.Touch[other] == nil {
		d.Touch[other] = map[string][]string{}
	}
}

// faces makes the bridges and the grid of a head or block face: rows between
// the cylinders from 0 at the free end, columns left, centre and right.
func (f *Family) faces(put func(string, ...string) *Dim, banks *Dim) {
	e := &f.Engine
	bridge, face := put("bridge"), put("face")
	for _, other := range []string{"cyl", "bank", "face"} {
		link(bridge, other)
	}
	link(banks, "bridge")
	rows := 0
	for b, bank := range e.BankList() {
		rows = max(rows, len(bank))
		for i := 1; i < len(bank); i++ {
			v := fmt.Sprintf("%d-%d", bank[i-1], bank[i])
			bridge.Values = append(bridge.Values, v)
			bridge.Touch["cyl"][v] = []string{strconv.Itoa(bank[i-1]), strconv.Itoa(bank[i])}
			name := e.BankNames()[b]
			bridge.Touch["bank"][v] = []string{name}
			banks.Touch["bridge"][name] = append(banks.Touch["bridge"][name], v)
			bridge.Touch["face"][v] = []string{fmt.Sprintf("L%d", i), fmt.Sprintf("C%d", i), fmt.Sprintf("R%d", i)}
			bridge.At[v] = [3]float64{(float64(i) - 0.5) * e.BoreSpacing.SI(), float64(b), 0}
		}
	}
	for i := range rows + 1 {
		for k, side := range []string{"L", "C", "R"} {
			v := fmt.Sprintf("%s%d", side, i)
			face.Values = append(face.Values, v)
			face.At[v] = [3]float64{(float64(i) - 0.5) * e.BoreSpacing.SI(), (float64(k) - 1) * e.FaceWidth.SI() / 2, 0}
			group := map[string]string{"L": "edge", "C": "centre", "R": "edge"}[side]
			face.Groups[group] = append(face.Groups[group], v)
		}
	}
}
