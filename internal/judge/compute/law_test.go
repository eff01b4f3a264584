package compute

import (
	"math"
	"math/rand/v2"
	"testing"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// typical sizes in formula units, so that the laws are tried where engines are.
var typical = map[unit.Dim][2]float64{
	unit.None: {1, 2}, unit.Number: {3, 30}, unit.Length: {0.02, 0.2}, unit.Volume: {1e-6, 6e-4},
	unit.Angle: {0.1, 1}, unit.Temperature: {12, 30}, unit.Force: {200, 900}, unit.Pressure: {2e10, 2e11},
	unit.Rotation: {100, 900}, unit.Expansion: {9e-6, 24e-6},
}

func draw(r *rand.Rand, rel *gum.Relation) [][]float64 {
	x := make([][]float64, len(rel.In))
	for i, s := range rel.In {
		n := 1
		if s.Many {
			n = max(s.Least, 1) + 3
		}
		for range n {
			b := typical[s.Dim]
			x[i] = append(x[i], b[0]+(b[1]-b[0])*r.Float64())
		}
	}
	if rel.Name == "head-lowering-retard" {
		x[1][0] += 0.3 // centres farther apart than the radii reach
	}
	return x
}

// Law: the partials of every relation are those of its value (central
// differences, relative step 1e-6; tolerance 1e-5 of the largest partial, well
// above the rounding of the difference and far below any wrong term). Places
// (x, y) of zones count as exact and are left out.
func TestLawPartials(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	for _, rel := range All() {
		for try := 0; try < 20; try++ {
			x := draw(r, rel)
			if _, err := rel.Value(x); err != nil {
				t.Fatalf("%s: %v", rel.Name, err)
			}
			g := make([][]float64, len(x))
			for i := range x {
				g[i] = make([]float64, len(x[i]))
			}
			rel.Partials(x, g)
			for i := range x {
				if exactPlaces(rel.Name) && i > 0 {
					continue
				}
				for j := range x[i] {
					h := 1e-6 * math.Abs(x[i][j])
					old := x[i][j]
					x[i][j] = old + h
					up, _ := rel.Value(x)
					x[i][j] = old - h
					down, _ := rel.Value(x)
					x[i][j] = old
					y, _ := rel.Value(x)
					want := (up - down) / (2 * h)
					scale := math.Max(math.Abs(g[i][j]), math.Abs(y/old))
					if math.Abs(want-g[i][j]) > 1e-5*scale {
						t.Fatalf("%s: ∂/∂%s[%d] = %g, differences give %g", rel.Name, rel.In[i].Letter, j, g[i][j], want)
					}
				}
			}
		}
	}
}

func exactPlaces(name string) bool {
	return name == "flatness" || name == "straightness" || name == "adjacent-misalignment"
}

// Law: names are unique and every relation says what it is.
func TestLawRegister(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range All() {
		if seen[r.Name] || r.Equation == "" || r.Source == "" || len(r.In) == 0 {
			t.Errorf("%q: twice, or without equation, source or symbols", r.Name)
		}
		seen[r.Name] = true
		names := map[string]bool{}
		for _, s := range r.In {
			if s.Name == "" || names[s.Name] {
				t.Errorf("%s: symbol %q without a name of its own", r.Name, s.Letter)
			}
			names[s.Name] = true
		}
	}
}

// Law: input is one object; what follows it was meant for something.
func TestLawOneObject(t *testing.T) {
	r, _ := Find("squish")
	const object = `{"deck": "0.20 mm", "gasket": "1.10 mm"}`
	if res, err := Run(r, []byte(object+"\n")); err != nil || res.Value != "1.3" {
		t.Errorf("%+v, %v", res, err)
	}
	for _, more := range []string{object, "x", "]"} {
		if _, err := Run(r, []byte(object+more)); err == nil {
			t.Errorf("%q behind the object was not seen", more)
		}
	}
}

// Law: no relation gives a doubt of nought where every input has one, whether
// its inputs are all different or all alike: there the first order may be small,
// but never nothing, or the relation refuses.
func TestLawNoDoubtVanishes(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 23))
	for _, rel := range All() {
		for name, alike := range map[string]func(k, i int, v float64) float64{
			"different": func(_, _ int, v float64) float64 { return v },
			"alike":     func(k, _ int, _ float64) float64 { return typical[rel.In[k].Dim][0] },
		} {
			x := draw(r, rel)
			g := gum.New()
			args := make([][]gum.ID, len(x))
			for k := range x {
				for i, v := range x[k] {
					if exactPlaces(rel.Name) && k > 0 {
						args[k] = append(args[k], g.Own(gum.Leaf{Value: v}))
						continue
					}
					v = alike(k, i, v)
					args[k] = append(args[k], g.Own(gum.Leaf{Value: v, U: 1e-4 * math.Max(math.Abs(v), 1e-3)}))
				}
			}
			id, err := g.Apply(rel, args)
			if err != nil {
				continue // refused
			}
			if u := g.U(id); !(u > 0) {
				t.Errorf("%s, inputs %s: u = %v", rel.Name, name, u)
			}
		}
	}
}
