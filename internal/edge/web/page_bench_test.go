package web

import (
	"strings"
	"testing"

	"fettle/internal/show/view"
)

// BenchmarkPage is one page alone, rendered anew each time.
func BenchmarkPage(b *testing.B) {
	f := open(b)
	for _, p := range []string{"/", "/job/2026-014", "/job/2026-014/part/block", "/job/2026-014/part/valve", "/job/2026-014/at/block/bore/5/H2/T",
		"/job/2026-014/findings", "/job/2026-014/questions", "/job/2026-014/targets", "/job/2026-014/log", "/family/corran-24-5"} {
		f.get(p)
		b.Run(strings.ReplaceAll(p, "/", "_"), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if w := f.get(p); w.Code != 200 {
					b.Fatal(w.Code)
				}
			}
			b.ReportMetric(float64(f.get(p).Body.Len())/1024, "kB")
		})
	}
}

// BenchmarkCase is what a job's first page pays besides: the index that all its
// views share.
func BenchmarkCase(b *testing.B) {
	f := open(b)
	j, err := f.bench.Judge(b.Context(), "2026-014")
	if err != nil {
		b.Fatal(err)
	}
	for range b.N {
		view.NewCase(j.Assessment, j.Layout, f.bench.Library(), j.Job, j.Shop, sketch())
	}
}
