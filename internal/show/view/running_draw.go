package view

import (
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/judge/model"
	"fettle/internal/show/plot"
)

// axis makes an axis of values in a unit, from the least to the most of them.
func (r Reader) axis(key string, lo, hi float64, n int) plot.Axis {
	return plot.Axis{Min: lo, Max: hi, Title: r.T(key), Ticks: plot.Ticks(lo, hi, n, func(v float64, d int) string {
		return plain(r.Num(strconv.FormatFloat(v, 'f', d, 64)))
	})}
}

// orbit is the way of the journal inside its clearance, seen in the shell, with
// that of a build that lived beside it.
func (c *Case) orbit(r Reader, l *model.Looked) Figure {
	f := &l.Films[l.At]
	p := plot.Polar{Full: 1.02, Rings: []plot.Ring{{Radius: 1, Wall: true}, {Radius: 0.5}}, Axes: c.sides(r, l)}
	for _, b := range l.Lived {
		if b.Film.Err == nil {
			p.Traces = append(p.Traces, plot.Round{Role: plot.Reference, At: turned(b.Film.X, b.Film.Y)})
		}
	}
	way := turned(f.X, f.Y)
	p.Traces = append(p.Traces, plot.Round{Role: plot.Measured, At: way})
	if i := int(f.Step); i >= 0 && i < len(way) {
		p.Spots = []plot.RoundSpot{{At: way[i], Label: plain(r.micro(f.Gap, 2))}}
	}
	return r.figureOf("orbit", runWidth, r.T("page.running.under.orbit", "gap", r.micro(f.Gap, 2), "radial", r.micro(l.Clearances[l.At]/2, 1)),
		func(cv plot.Canvas) { p.Draw(cv, plot.Point{}, runWidth) })
}

// turned stands the frame of a shell upright: its x, towards the cylinders, up.
func turned(x, y []float64) []plot.Point {
	out := make([]plot.Point, len(x))
	for i := range x {
		out[i] = plot.Pt(-y[i], x[i])
	}
	return out
}

// sides names what lies at the right, above, at the left and below in a shell.
func (c *Case) sides(r Reader, l *model.Looked) [4]string {
	up := "page.running.side.rod"
	if l.Rig.Bearings()[l.At].Component == "shell-main" {
		up = "page.running.side.block"
	}
	return [4]string{"", r.T(up), "", r.T("page.running.side.cap")}
}

// polar is the load on the shell as it goes round.
func (c *Case) polar(r Reader, l *model.Looked) Figure {
	x, y := make([]float64, len(l.Load)), make([]float64, len(l.Load))
	most := 0.0
	for i, v := range l.Load {
		x[i], y[i] = v.X/1e3, v.Y/1e3
		most = max(most, v.Length()/1e3)
	}
	p := plot.Polar{Full: most * 1.05, Traces: []plot.Round{{Role: plot.Measured, At: turned(x, y)}}, Axes: c.sides(r, l)}
	for _, t := range plot.Ticks(0, most, 3, func(v float64, d int) string { return plain(r.With(strconv.FormatFloat(v, 'f', d, 64), "kN")) }) {
		if t.At > 0 {
			p.Rings = append(p.Rings, plot.Ring{Radius: t.At, Label: t.Label})
		}
	}
	return r.figureOf("load", runWidth, r.T("page.running.under.load", "most", r.With(strconv.FormatFloat(most, 'f', 1, 64), "kN")),
		func(cv plot.Canvas) { p.Draw(cv, plot.Point{}, runWidth) })
}

// ground is the least film over clearance and viscosity, with the engine on it.
func (c *Case) ground(r Reader, l *model.Looked, g *model.Ground) Figure {
	t := plot.Terrain{}
	most := 0.0
	for _, x := range g.Clearances {
		t.Xs = append(t.Xs, unit.FromSI(x, "µm"))
	}
	for _, y := range g.Viscosities {
		t.Ys = append(t.Ys, y*1e3)
	}
	for _, row := range g.Gap {
		var out []float64
		for _, h := range row {
			out = append(out, unit.FromSI(h, "µm"))
			if !math.IsNaN(h) {
				most = max(most, unit.FromSI(h, "µm"))
			}
		}
		t.Heights = append(t.Heights, out)
	}
	t.X = r.axis("page.running.axis.clearance", t.Xs[0], t.Xs[len(t.Xs)-1], 6)
	t.Y = r.axis("page.running.axis.viscosity", t.Ys[0], t.Ys[len(t.Ys)-1], 5)
	for _, k := range plot.Ticks(0, most, 6, func(v float64, d int) string { return plain(r.micro(v*1e-6, d)) }) {
		t.Levels = append(t.Levels, plot.Height{At: k.At, Label: k.Label})
	}
	b := l.Rig.Bearings()[l.At]
	if b.Rough > 0 {
		rough := unit.FromSI(b.Rough, "µm")
		t.Forbid = &rough
	}
	f := &l.Films[l.At]
	here := plot.Standing{X: unit.FromSI(l.Clearances[l.At], "µm"), Y: f.Viscosity * 1e3, Role: plot.Measured, Label: plain(r.micro(f.Gap, 2))}
	if l.Clearances[l.At] == b.Clearance.Value {
		here.UX = unit.FromSI(2*b.Clearance.U, "µm")
	}
	for _, k := range l.Lived {
		if k.Film.Err == nil {
			t.Here = append(t.Here, plot.Standing{X: unit.FromSI(k.Clearance, "µm"), Y: k.Film.Viscosity * 1e3, Role: plot.Reference, Label: r.T("page.running.livedmark")})
		}
	}
	t.Here = append(t.Here, here)
	return r.figureOf("ground", runHeight, r.T("page.running.under.ground"), func(cv plot.Canvas) { t.Draw(cv, plot.Point{}, runWidth, runHeight) })
}

// trace is the pressure in the cylinder over the cycle.
func (c *Case) trace(r Reader, l *model.Looked) Figure {
	var s []plot.Sample
	most := 0.0
	n := len(l.Gas.Gauge)
	for i := 0; i < n; i += 2 {
		k := (i + n/2) % n // firing dead centre in the middle
		p := unit.FromSI(l.Gas.Gauge[k], "bar")
		most = max(most, p)
		s = append(s, plot.Sample{X: 720*float64(i)/float64(n) - 360, Y: p})
	}
	ch := plot.Chart{X: r.axis("page.running.axis.angle", -360, 360, 5), Y: r.axis("page.running.axis.pressure", 0, most*1.05, 5),
		Series: []plot.Series{{Role: plot.Measured, Samples: s}}}
	return r.figureOf("gas", runHeight, r.T("page.running.under.gas", "peak", r.With(strconv.FormatFloat(most, 'f', 0, 64), "bar")),
		func(cv plot.Canvas) { ch.Draw(cv, plot.Point{}, runWidth, runHeight) })
}
