package crank

import "testing"

// The loads of the inline six of the speed goals: throws, seven mains and torque
// at 2,880 points, and one big end in the frame of its rod.
func BenchmarkSix(b *testing.B) {
	for _, n := range []int{720, 2880} {
		m := must(NewMechanism(must(NewSlider(0.045, 0.144, 0.0008))(b), Parts{Piston: 0.42, Bore: 0.09, Rod: Rod{0.62, 0.041, 0.0026}}))(b)
		gauge := make([]float64, n)
		for i := range gauge {
			gauge[i] = smooth(float64(i) / float64(n) * 720 * deg)
		}
		e := must(NewEngine(six(b), []Mechanism{m}, n))(b)
		h := e.NewHistories()
		t := must(NewTable(m, n, 0))(b)
		out := Loads{Rod: make([]Vec, n), Spin: make([]float64, n)}
		name := map[int]string{720: "720", 2880: "2880"}[n]
		b.Run("loads-"+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := e.Loads(700, [][]float64{gauge}, h); err != nil {
					b.Fatal(err)
				}
				if err := t.Loads(700, gauge, &out); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run("made-anew-"+name, func(b *testing.B) {
			for b.Loop() {
				if _, err := NewEngine(six(b), []Mechanism{m}, n); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
