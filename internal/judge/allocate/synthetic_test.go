package allocate

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

func um(x float64) int64 { return int64(math.Round(x * 1000)) }
func mm(x float64) int64 { return int64(math.Round(x * 1e6)) }
func at(x int64) *int64  { return &x }

func between(lo, hi float64) Limits { return Limits{at(mm(lo)), at(mm(hi))} }

func bearings(limits Limits, house, journal []float64) []Bearing {
	var out []Bearing
	for i := range house {
		out = append(out, Bearing{ID: fmt.Sprintf("main/%d", i+1), Housing: Size{N: mm(house[i])}, Journal: Size{N: mm(journal[i])}, Limits: limits})
	}
	return out
}

// Synthetic, checked by full enumeration under stock limits: five main bearings,
// clearance 40 µm asked; any two halves may meet. Least worst 15 µm, then least
// sum of squares 907 µm²; clearances 54, 55, 51, 53, 54 are one such choice.
func TestSyntheticFiveMains(t *testing.T) {
	b := bearings(Limits{}, []float64{64.012, 64.017, 64.009, 64.020, 64.014}, []float64{59.986, 59.990, 59.982, 59.991, 59.984})
	s := []Shell{{ID: "A", Wall: Size{N: mm(1.980)}, Count: 2}, {ID: "B", Wall: Size{N: mm(1.984)}, Count: 4},
		{ID: "C", Wall: Size{N: mm(1.988)}, Count: 4}, {ID: "D", Wall: Size{N: mm(1.992)}, Count: 2}}
	p, err := Shells(b, s, ShellRules{Target: um(40), Aim: Worst})
	if err != nil {
		t.Fatal(err)
	}
	if p.Worst != um(15) || p.Squares != 907e6 || p.LowerWorst != p.Worst || p.Proof.Gap != 0 {
		t.Errorf("worst %d nm, squares %d nm², proof %+v; expected 15 µm and 907 µm²", p.Worst, p.Squares, p.Proof)
	}
}

// Synthetic: the seven mains of the trade notes, target 45 µm, walls R 1.986,
// Y 1.990, G 1.994, one class apart at most. The clearances are those of the
// notes; R with G would give as much at mains 1 and 5 and is two classes apart.
func TestSyntheticSevenMains(t *testing.T) {
	b := bearings(between(0.035, 0.055), []float64{66.004, 66.001, 66.006, 66.000, 66.003, 66.005, 66.002},
		[]float64{61.978, 61.981, 61.975, 61.980, 61.979, 61.974, 61.982})
	s := []Shell{{ID: "R", Class: "R", Wall: Size{N: mm(1.986)}, Count: 3}, {ID: "Y", Class: "Y", Wall: Size{N: mm(1.990)}, Count: 9}, {ID: "G", Class: "G", Wall: Size{N: mm(1.994)}, Count: 2}}
	rules := ShellRules{Target: um(45), Aim: Target, Ladder: []string{"R", "Y", "G"}, Steps: 1}
	p, err := Shells(b, s, rules)
	if err != nil {
		t.Fatal(err)
	}
	want := []float64{46, 44, 47, 44, 44, 47, 44}
	for i, c := range p.Choices {
		if c.Clearance.Value != um(want[i]) {
			t.Errorf("%s: %s + %s gives %d nm, in the notes %v µm", c.ID, c.Upper, c.Lower, c.Clearance.Value, want[i])
		}
		if strings.Contains(c.Upper+c.Lower, "R") && strings.Contains(c.Upper+c.Lower, "G") {
			t.Errorf("%s: two classes apart", c.ID)
		}
	}
	for _, l := range p.Left {
		if l.Count != 0 {
			t.Errorf("%s: %d left, in the notes none", l.ID, l.Count)
		}
	}
	// One G fewer and mains 3 and 6 compete for it.
	s[2].Count = 1
	rules.Guard = 0
	b[2].Limits, b[5].Limits = between(0.045, 0.048), between(0.045, 0.048)
	_, err = Shells(b, s, rules)
	if err == nil || !strings.Contains(err.Error(), `places="main/3, main/6"`) || !strings.Contains(err.Error(), "G × 1") {
		t.Errorf("%v, expected mains 3 and 6 and one G", err)
	}
	for _, out := range []int{2, 5} {
		if _, err := Shells(append(append([]Bearing{}, b[:out]...), b[out+1:]...), s, rules); err != nil {
			t.Errorf("without main %d: %v", out+1, err)
		}
	}
}

func valves(limits Limits, ratio float64, shim, lash []float64) []Valve {
	var out []Valve
	for i := range shim {
		v := Valve{ID: fmt.Sprintf("valve/%d", i+1), Shim: Size{N: mm(shim[i])}, Lash: Size{N: mm(lash[i])}, Ratio: ratio, Limits: limits}
		v.Target = (*limits.Low + *limits.High) / 2
		out = append(out, v)
	}
	return out
}

// Synthetic: N = T + R(g − g_target) of the trade notes: T 2.47, g 0.23, target
// 0.30: 2.40 with R 1, 2.365 with R 1.5.
func TestSyntheticShimEquation(t *testing.T) {
	for ratio, want := range map[float64]float64{1: 2.40, 1.5: 2.365} {
		v := valves(between(0.28, 0.32), ratio, []float64{2.47}, []float64{0.23})[0]
		if n := v.thickness(v.Target); n != mm(want) {
			t.Errorf("R %v: %d nm, expected %v mm", ratio, n, want)
		}
		if g := v.After(mm(want)); g != mm(0.30) {
			t.Errorf("R %v: lash %d nm", ratio, g)
		}
	}
}

// Synthetic: the six valves of the trade notes, R 1.5: one in spec, three by
// swaps, three to buy, and the windows of these.
func TestSyntheticSixShims(t *testing.T) {
	v := valves(between(0.25, 0.30), 1.5, []float64{2.30, 2.36, 2.42, 2.34, 2.40, 2.38}, []float64{0.21, 0.28, 0.33, 0.24, 0.19, 0.31})
	p, err := Shims(v, nil, ShimRules{Ladder: Rungs{From: mm(2), To: mm(3), Step: mm(0.05)}})
	if err != nil {
		t.Fatal(err)
	}
	if p.InSpec != 1 || p.InSpecBySwaps != 3 || p.Bench != 3 || p.Bought != 3 || len(p.Without) != 0 {
		t.Errorf("%+v, expected 1 in spec, 3 by swaps, 3 to buy", p)
	}
	windows := map[string]bool{"2165-2240": true, "2465-2540": true, "2235-2310": true}
	for _, c := range p.Choices {
		if c.From == FromShop && !windows[fmt.Sprintf("%d-%d", c.Low/1000, c.High/1000)] {
			t.Errorf("%s is bought, window %d to %d µm", c.ID, c.Low/1000, c.High/1000)
		}
	}
}

// Synthetic, checked by another assignment solver: eight valves, limits 0.18 to
// 0.24, three new shims at least; the windows as given there.
func TestSyntheticEightShims(t *testing.T) {
	v := valves(between(0.18, 0.24), 1, []float64{2.60, 2.65, 2.70, 2.55, 2.75, 2.65, 2.60, 2.70}, []float64{0.12, 0.21, 0.28, 0.17, 0.16, 0.30, 0.23, 0.19})
	p, err := Shims(v, nil, ShimRules{})
	if err != nil {
		t.Fatal(err)
	}
	low, high := []float64{2.48, 2.62, 2.74, 2.48, 2.67, 2.71, 2.59, 2.65}, []float64{2.54, 2.68, 2.80, 2.54, 2.73, 2.77, 2.65, 2.71}
	for i, c := range p.Choices {
		if c.Low != mm(low[i]) || c.High != mm(high[i]) {
			t.Errorf("%s: window %d to %d nm, expected %v to %v mm", c.ID, c.Low, c.High, low[i], high[i])
		}
	}
	if p.InSpecBySwaps != 5 || len(p.Without) != 3 {
		t.Errorf("%d of 8 by swaps, %v without, expected 5 and 3", p.InSpecBySwaps, p.Without)
	}
}

// Synthetic: six bores and six pistons of the trade notes: dealt 9 µm apart, at
// best 2 µm.
func TestSyntheticSixPistons(t *testing.T) {
	var h []Hole
	var s []Shaft
	for i, b := range []float64{85.012, 85.008, 85.010, 85.015, 85.009, 85.011} {
		h = append(h, Hole{ID: fmt.Sprintf("bore/%d", i+1), Size: Size{N: mm(b)}})
	}
	for i, d := range []float64{84.948, 84.952, 84.946, 84.950, 84.953, 84.947} {
		s = append(s, Shaft{ID: fmt.Sprintf("piston/%d", i+1), Size: Size{N: mm(d)}})
	}
	p, err := Pairs(h, s, PairRules{Target: um(62), Aim: Spread})
	if err != nil || p.Spread != um(2) || p.Proof.Method != "sweep" {
		t.Errorf("spread %d nm, %v, in the notes 2 µm", p.Spread, err)
	}
}

// Synthetic; optimum by an assignment solver and by rank order, for costs convex
// in the difference of two sizes are least where small meets small (R. Burkard,
// M. Dell'Amico, S. Martello, Assignment Problems, SIAM 2009, chapter on Monge
// matrices): eight pistons to eight bores, 80 µm asked. 15.59 µm² and 2.6 µm.
func TestSyntheticEightPistons(t *testing.T) {
	var h []Hole
	var s []Shaft
	for i, b := range []float64{86.0112, 86.0087, 86.0131, 86.0064, 86.0105, 86.0098, 86.0079, 86.0120} {
		h = append(h, Hole{ID: fmt.Sprintf("bore/%d", i+1), Size: Size{N: mm(b)}})
	}
	for i, d := range []float64{85.9301, 85.9322, 85.9290, 85.9315, 85.9338, 85.9308, 85.9296, 85.9327} {
		s = append(s, Shaft{ID: fmt.Sprintf("piston/%d", i+1), Size: Size{N: mm(d)}})
	}
	p, err := Pairs(h, s, PairRules{Target: um(80), Aim: Target})
	if err != nil || p.Squares != 15_590_000 {
		t.Errorf("sum %d nm², %v, expected 15.59 µm²", p.Squares, err)
	}
	p, err = Pairs(h, s, PairRules{Target: um(80), Aim: Worst})
	if err != nil || p.Worst != um(2.6) {
		t.Errorf("worst %d nm, %v, expected 2.6 µm", p.Worst, err)
	}
}

// Synthetic: pistons and pins of the trade notes: 3.1 g apart as dealt, 1.1 g
// where the heaviest piston gets the lightest pin. The least there is comes out
// here, and is no more than that.
func TestSyntheticPistonsAndPins(t *testing.T) {
	var p []Piece
	for i, m := range []float64{386.4, 385.1, 387.2, 386.0, 385.7, 386.8} {
		p = append(p, Piece{"piston", fmt.Sprintf("piston/%d", i+1), Size{N: int64(math.Round(m * 1000))}})
	}
	for i, m := range []float64{98.6, 97.9, 98.9, 98.2, 98.0, 98.8} {
		p = append(p, Piece{"pin", fmt.Sprintf("pin/%d", i+1), Size{N: int64(math.Round(m * 1000))}})
	}
	s, err := Sets(p)
	if err != nil || s.Dealt != 3100 || s.Spread != 1100 || s.Proof.Gap != 0 {
		t.Errorf("dealt %d mg, spread %d mg, %+v, %v; in the notes 3.1 g and 1.1 g", s.Dealt, s.Spread, s.Proof, err)
	}
}

// Synthetic: the thickness menu of the trade notes, after 0.15 mm off the head and
// 0.10 mm off the block: ratio, squish, drop of the cam and retard as printed there,
// to half a unit of the last digit. The gasket 0.25 mm thicker brings ratio and
// timing back together.
func TestSyntheticGasketMenu(t *testing.T) {
	high, retard := 12.2, 0.5*math.Pi/180
	head := Head{Bore: mm(85), Stroke: mm(90), Hole: mm(86.5), Crown: 3_000_000, Crevice: 600_000, Cut: mm(0.25), Was: mm(0.70), Wheel: mm(50), Slope: 10 * math.Pi / 180,
		Valves: []Reach{{"in", Size{N: mm(2.2), U: 30_000}, mm(2.0), 1}}}
	menu := []Gasket{{"0.70", Size{N: mm(0.70)}}, {"0.80", Size{N: mm(0.80)}}, {"0.95", Size{N: mm(0.95)}}, {"1.05", Size{N: mm(1.05)}}}
	p, err := GasketMenu([]Chamber{{ID: "1", Volume: Size{N: 38_400_000, U: 250_000}, Deck: Size{N: mm(0.05), U: 5000}}}, menu, head,
		MenuRules{Target: 11.69, High: &high, Squish: Limits{Low: at(mm(0.80))}, Retard: &retard})
	if err != nil {
		t.Fatal(err)
	}
	want := map[string][4]float64{"0.70": {12.01, 0.75, 0.25, 0.56}, "0.80": {11.87, 0.85, 0.15, 0.34}, "0.95": {11.67, 1.00, 0, 0}, "1.05": {11.54, 1.10, -0.10, -0.23}}
	for _, c := range p.Choices {
		got := [4]float64{c.Ratio[0], float64(c.Squish[0]) / 1e6, float64(c.Drop) / 1e6, c.Retard * 180 / math.Pi}
		for k := range got {
			if math.Abs(got[k]-want[c.ID][k]) > 0.0051 {
				t.Errorf("%s: %v, in the notes %v", c.ID, got, want[c.ID])
			}
		}
		if c.Reach[0] != mm(2.2)-c.Drop {
			t.Errorf("%s: valve at %d", c.ID, c.Reach[0])
		}
	}
	if p.Choices[0].ID != "0.95" || len(p.Choices[0].Broken) != 0 {
		t.Errorf("first %+v, in the notes 0.95", p.Choices[0])
	}
	last := p.Choices[3]
	if last.ID != "0.70" || fmt.Sprint(last.Broken) != "[squish valve retard]" {
		t.Errorf("last %+v, expected 0.70 for squish, valve and retard", last)
	}
	// ΔCR per cm³ of the notes: 0.25 cm³ is 0.06 there; u as −V_s/V_c²·u.
	if u := p.Choices[0].RatioU[0]; math.Abs(u-0.0558) > 0.0006 {
		t.Errorf("u of the ratio %v", u)
	}
}
