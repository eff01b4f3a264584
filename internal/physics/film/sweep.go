package film

import (
	"fmt"
	"math"
	"sync"
)

// Row is one bearing with its oil at one speed, to be seen over many clearances.
type Row struct {
	Shell *Shell
	Load  *Load
	Oil   Oil
}

// Swept is a row over the clearances asked for.
type Swept struct {
	At []Estimate
	// Error is the size of the last two terms of the emulator, relative; of
	// Celsius in K.
	Error Estimate
	Err   error
}

// Sweep works out rows over clearances, for maps and sliders. Each row is an
// emulator through a few clearances, each begun where its neighbour ended, on
// every other step of the cycle: the least film is within 1e-3 of Balance plus
// the stated error.
//
// Shapes: n rows, m radial clearances -> n rows of m.
// Units:  m -> SI, °C.
// Errors: no clearances or nodes outside 3 to 33; each row has its own.
func Sweep(rows []Row, clearances []float64, nodes, workers int) ([]Swept, error) {
	if len(clearances) == 0 || nodes < 3 || nodes > 33 {
		return nil, fmt.Errorf("film: a sweep of %d clearances by %d nodes, expected some and 3 to 33", len(clearances), nodes)
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, c := range clearances {
		if !(c > 0) || !finite(c) {
			return nil, fmt.Errorf("film: a clearance of %g m in a sweep", c)
		}
		least, most = math.Min(least, c), math.Max(most, c)
	}
	if most-least < 1e-6*most { // one clearance: a little on both sides
		least, most = least*(1-1e-3), most*(1+1e-3)
	}
	out := make([]Swept, len(rows))
	parts := (len(rows) + lanes - 1) / lanes
	next := make(chan int)
	var all sync.WaitGroup
	for range max(1, min(workers, parts)) {
		all.Go(func() {
			for i := range next {
				from, to := i*lanes, min((i+1)*lanes, len(rows))
				sweep(rows[from:to], out[from:to], clearances, least, most, nodes)
			}
		})
	}
	for i := range parts {
		next <- i
	}
	close(next)
	all.Wait()
	return out, nil
}

// sweep takes a few rows through the nodes side by side.
func sweep(rows []Row, out []Swept, clearances []float64, least, most float64, nodes int) {
	n := len(rows)
	seeks := make([]seek, n)
	cases := make([]HeatCase, n)
	found := make([]Balanced, n)
	at := make([][][figures]float64, n)
	for i, r := range rows {
		cases[i] = HeatCase{Shell: r.Shell, Load: r.Load, Oil: r.Oil}
		seeks[i] = seek{c: &cases[i], out: &found[i], rough: true}
	}
	for k := nodes - 1; k >= 0; k-- { // wide first: cool, and soon found
		var open []*seek
		for i := range seeks {
			if out[i].Err == nil {
				cases[i].Clearance = place(least, most, node(k, nodes))
				cases[i].Guess = guessed(at[i], found[i].Celsius, k, nodes)
				open = append(open, &seeks[i])
			}
		}
		search(open)
		for i := range seeks {
			if out[i].Err != nil {
				continue
			}
			if err := found[i].Err; err != nil {
				out[i].Err = fmt.Errorf("at a radial clearance of %.4g µm: %w", cases[i].Clearance*1e6, err)
				continue
			}
			at[i] = append(at[i], found[i].figures())
		}
	}
	for i := range out {
		if out[i].Err != nil {
			continue
		}
		for a, b := 0, nodes-1; a < b; a, b = a+1, b-1 {
			at[i][a], at[i][b] = at[i][b], at[i][a]
		}
		e := Emulator{Least: least, Most: most}
		if out[i].Err = e.fit(at[i]); out[i].Err != nil {
			continue
		}
		var off [figures]float64
		for k, c := range e.coef {
			off[k] = math.Abs(c[nodes-1]) + math.Abs(c[nodes-2])
		}
		out[i].Error = estimateOf(off)
		out[i].At = make([]Estimate, len(clearances))
		for j, c := range clearances {
			out[i].At[j] = e.At(c)
		}
	}
}

// guessed is where the search for a temperature begins: on the line through
// the last two nodes.
func guessed(at [][figures]float64, last float64, k, nodes int) float64 {
	n := len(at)
	if n < 2 {
		return last
	}
	x0, x1, x := node(k+2, nodes), node(k+1, nodes), node(k, nodes)
	t0, t1 := at[n-2][figures-1], at[n-1][figures-1]
	return t1 + (t1-t0)*(x-x1)/(x1-x0)
}
