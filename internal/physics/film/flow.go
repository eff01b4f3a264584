package film

import "math"

// feed is the oil that the supply pushes through a gap, m³/s, for a mean cube of
// the gap at the inlet and the pressure there.
//
// All around, two lands:  Q = 2 (c³ p/(12 μ l)) ∫ H³ R dθ = π R c³ (1 + 1.5 ε²) p/(3 μ l)
// A part groove: the same integral over its arc.
// A hole of d in a length L:
//
//	Q = (π/6) c³ H³ p q/(μ ln(L/d)),  q = 1.204 + 0.368 d/L - 1.046 (d/L)² + 1.942 (d/L)³
//
// Source: flow between parallel faces, integrated; the hole after the form of
// ISO 7902-2 and F. A. Martin, from memory.
type feed struct {
	kind     Inlet
	lands    float64 // c³ R/(12 l) of both lands, without p/μ
	hole     float64 // (π/6) c³ q/ln(L/d)
	from, to float64 // arc of a part groove
	hx, hy   float64 // towards a hole in the sleeve
}

func (s *Shell) feed(c float64) feed {
	f := feed{kind: s.spec.Inlet}
	r := s.spec.Diameter / 2
	switch f.kind {
	case RingGroove:
		f.lands = 2 * c * c * c * r / (12 * s.land)
	case PartGroove:
		f.lands = 2 * c * c * c * r / (12 * s.gland)
		f.from, f.to = s.spec.From, s.spec.To
	case SleeveHole, JournalHole:
		x := s.spec.Hole / s.spec.Length
		q := 1.204 + x*(0.368+x*(-1.046+x*1.942))
		f.hole = math.Pi / 6 * c * c * c * q / math.Log(1/x)
		f.hy, f.hx = math.Sincos(s.spec.HoleAt)
	}
	return f
}

// per is the feed for unit p/μ with the journal at (ex, ey).
func (f *feed) per(ex, ey float64) float64 {
	e2 := ex*ex + ey*ey
	switch f.kind {
	case RingGroove:
		return f.lands * 2 * math.Pi * (1 + 1.5*e2)
	case PartGroove:
		return f.lands * cubes(ex, ey, f.from, f.to)
	case SleeveHole:
		h := 1 - ex*f.hx - ey*f.hy
		return f.hole * h * h * h
	case JournalHole: // passes every gap: the mean of H³
		return f.hole * (1 + 1.5*e2)
	}
	return 0
}

// cubes is ∫ (1 - ex cos θ - ey sin θ)³ dθ over an arc: Simpson's rule in 16
// steps, whose error is below 1e-4 for half a circle.
func cubes(ex, ey, from, to float64) float64 {
	const n = 16
	d := (to - from) / n
	// turn by recurrence: one sine and cosine for all
	sd, cd := math.Sincos(d)
	s, c := math.Sincos(from)
	sum := 0.0
	for i := 0; i <= n; i++ {
		h := 1 - ex*c - ey*s
		w := 2.0 + 2*float64(i%2)
		if i == 0 || i == n {
			w = 1
		}
		sum += w * h * h * h
		s, c = s*cd+c*sd, c*cd-s*sd
	}
	return sum * d / 3
}
