package gallery

import (
	"fettle/internal/know/family"
	"fettle/internal/show/draw"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// sketch introduces the views to the drawings, as the site does.
func sketch() view.Sketch {
	return view.Sketch{
		Part: func(l *family.Layout, component, label string, spots []view.Spot, figure func(string) string) string {
			opt := draw.Options{Figure: figure}
			w, h := draw.Size(l, component, opt)
			return plot.Inline(w, h, label, func(c plot.Canvas) { draw.Part(c, l, component, marks(spots), opt) })
		},
		Engine: func(l *family.Layout, label string, spots []view.Spot) string {
			m := marks(spots)
			for _, s := range spots {
				k := m[s.Key]
				k.Short = s.Short
				m[s.Key] = k
			}
			w, h := draw.EngineSize(l, m, draw.Options{})
			return plot.Inline(w, h, label, func(c plot.Canvas) { draw.Engine(c, l, m, draw.Options{}) })
		},
	}
}

func marks(spots []view.Spot) draw.Marks {
	out := make(draw.Marks, len(spots))
	for _, s := range spots {
		out[s.Key] = draw.Mark{Verdict: s.Verdict, Href: s.Href, Title: s.Title, Armed: s.Armed}
	}
	return out
}
