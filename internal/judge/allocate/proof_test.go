package allocate

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// Law: up to eight places every selection is proved, even where each half shell was
// measured to a tenth of a micrometre and none is like another; with twelve the
// root mean square is within 1 µm of the best. Synthetic.
func TestLawProvedUpToEight(t *testing.T) {
	for _, n := range []int{5, 8, 12} {
		for _, pieces := range []int{2 * n, 2*n + 6, 60} {
			for _, aim := range []Aim{Target, Worst, Spread} {
				if n > 8 && (aim != Target || testing.Short()) {
					continue
				}
				r := rand.New(rand.NewPCG(51, uint64(n)))
				var b []Bearing
				for i := range n {
					b = append(b, Bearing{ID: fmt.Sprintf("m%02d", i), Housing: Size{N: mm(60) + um(0.1*float64(r.IntN(80)))},
						Journal: Size{N: mm(55.976) + um(0.1*float64(r.IntN(80)))}, Limits: between(0.020, 0.060)})
				}
				var s []Shell
				for i := range pieces {
					s = append(s, Shell{ID: fmt.Sprintf("h%02d", i), Role: []string{"upper", "lower"}[i%2], Wall: Size{N: mm(1.985) + um(0.1*float64(r.IntN(120)))}, Count: 1})
				}
				w, err := newShellWork(b, s, ShellRules{Target: um(40), Aim: aim})
				if err != nil {
					t.Fatal(err)
				}
				a, err := w.solve(nil)
				if err != nil || n <= 8 && (a.proof.Gap != 0 || a.proof.Method == "open") || a.proof.Gap > 1000 {
					t.Errorf("%d places, %d halves, %s: %+v, %v", n, pieces, aim, a.proof, err)
				}
			}
		}
	}
}
