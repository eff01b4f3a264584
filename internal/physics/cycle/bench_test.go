package cycle

import "testing"

func BenchmarkCycle(b *testing.B) {
	for _, c := range []struct {
		name string
		step float64
	}{{"3deg", 3}, {"2deg", 2}, {"1deg", 1}} {
		s := invented(b)
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			var r *Result
			for b.Loop() {
				r = must(Run(s, Options{Step: c.step, Tolerance: 1e-5}))(b)
			}
			b.ReportMetric(float64(r.Cycles), "cycles")
			b.ReportMetric(float64(r.Steps), "steps")
		})
	}
}
