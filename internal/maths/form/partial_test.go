package form

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Laws of the partials: they agree with central differences where the width is
// smooth. A draw whose two one-sided differences disagree sits on a kink within
// the step and is passed over; the count of those compared is checked.

type sample struct {
	kept, seen int
	worst      float64
}

// compare checks partials against width(i, h), the width with height i raised.
func (s *sample) compare(t *rapid.T, what string, n int, step, tol float64, partials []float64, width func(i int, h float64) float64) {
	s.seen++
	w0 := width(0, 0)
	diff := make([]float64, n)
	for i := range n {
		up, down := width(i, step)-w0, w0-width(i, -step)
		if math.Abs(up-down) > tol*step {
			return
		}
		diff[i] = (up + down) / (2 * step)
	}
	s.kept++
	for i := range diff {
		d := math.Abs(diff[i] - partials[i])
		s.worst = math.Max(s.worst, d)
		if d > tol {
			t.Errorf("%s: partial %d = %.9g, difference quotient %.9g (all %v)", what, i, partials[i], diff[i], partials)
		}
	}
}

func (s *sample) enough(t *testing.T, what string) {
	t.Helper()
	t.Logf("%s: %d of %d draws compared, worst %.2g", what, s.kept, s.seen, s.worst)
	if s.kept*8 < s.seen && !testing.Short() { // a short run draws too few to count
		t.Errorf("%s: only %d of %d draws were away from a kink", what, s.kept, s.seen)
	}
}

func TestLawStraightnessPartials(t *testing.T) {
	for name, fit := range map[string]func(x, z []float64) (Line, Zone, error){"LS": LeastSquaresLine, "MZ": MinimumZoneLine} {
		t.Run(name, func(t *testing.T) {
			var s sample
			rapid.Check(t, func(t *rapid.T) {
				x, z := chain(t)
				_, zone, err := fit(x, z)
				if err != nil {
					t.Fatal(err)
				}
				s.compare(t, name, len(z), 1e-4, 1e-7, zone.Partials, func(i int, h float64) float64 {
					moved := append([]float64(nil), z...)
					moved[i] += h
					_, m, _ := fit(x, moved)
					return m.Width
				})
			})
			s.enough(t, name)
		})
	}
}

func TestLawFlatnessPartials(t *testing.T) {
	for name, fit := range map[string]func([]Point3) (Plane, Zone, error){"LS": LeastSquaresPlane, "MZ": MinimumZonePlane} {
		t.Run(name, func(t *testing.T) {
			var s sample
			rapid.Check(t, func(t *rapid.T) {
				pts := surface(t, 15)
				_, zone, err := fit(pts)
				if err != nil {
					t.Fatal(err)
				}
				// 1e-4: the least-squares partials leave out (width/length)², and the
				// zone's own curvature is of that order over the step.
				s.compare(t, name, len(pts), 1e-6, 1e-5, zone.Partials, func(i int, h float64) float64 {
					moved := append([]Point3(nil), pts...)
					moved[i].Z += h
					_, m, _ := fit(moved)
					return m.Width
				})
			})
			s.enough(t, name)
		})
	}
}

func TestLawRoundnessPartials(t *testing.T) {
	for name, fit := range map[string]func([]Point) (Round, error){
		"LS": LeastSquaresCircle, "MZ": MinimumZoneCircle, "MCC": MinimumCircumscribedCircle, "MIC": MaximumInscribedCircle,
	} {
		t.Run(name, func(t *testing.T) {
			var width, radius sample
			rapid.Check(t, func(t *rapid.T) {
				pts := roundProfile(t, 16)
				f, err := fit(pts)
				if err != nil {
					t.Fatal(err)
				}
				if f.Width < 1e-6*f.R {
					return // rounding of the distances would show in the differences
				}
				moved := func(i int, h float64) Round {
					q := append([]Point(nil), pts...)
					dx, dy := q[i].X-f.X, q[i].Y-f.Y
					l := math.Hypot(dx, dy)
					q[i] = Point{q[i].X + h*dx/l, q[i].Y + h*dy/l}
					m, err := fit(q)
					if err != nil {
						t.Fatal(err)
					}
					return m
				}
				step := 1e-3 * f.Width
				// Rounding of distances over the step, and curvature of the step
				// itself, set the tolerance.
				tol := 1e-4 + 1e-13*f.R/step
				width.compare(t, name+" width", len(pts), step, tol, f.Partials, func(i int, h float64) float64 { return moved(i, h).Width })
				if f.RadiusPartials != nil {
					radius.compare(t, name+" radius", len(pts), step, tol, f.RadiusPartials, func(i int, h float64) float64 { return moved(i, h).R })
				}
			})
			width.enough(t, name+" width")
			if radius.seen > 0 {
				radius.enough(t, name+" radius")
			}
		})
	}
}

// barrel draws a tilted cylinder with form of 10⁻³ of the radius.
func barrel(t *rapid.T) []Point3 {
	levels, round := rapid.IntRange(3, 5).Draw(t, "levels"), rapid.IntRange(5, 9).Draw(t, "round")
	dx := rapid.Float64Range(-0.01, 0.01).Draw(t, "dx")
	dy := rapid.Float64Range(-0.01, 0.01).Draw(t, "dy")
	var out []Point3
	for l := range levels {
		for k := range round {
			a := 2 * math.Pi * (float64(k) + rapid.Float64Range(0, 0.5).Draw(t, "turn")) / float64(round)
			r, z := 40+rapid.Float64Range(-0.02, 0.02).Draw(t, "dev"), 30*float64(l)
			out = append(out, Point3{r*math.Cos(a) + dx*z, r*math.Sin(a) + dy*z, z})
		}
	}
	return out
}

func TestLawCylinderPartials(t *testing.T) {
	for name, fit := range map[string]func([]Point3) (Cylinder, error){"LS": LeastSquaresCylinder, "cone": LeastSquaresCone, "MZ": MinimumZoneCylinder} {
		t.Run(name, func(t *testing.T) {
			var s sample
			rapid.Check(t, func(t *rapid.T) {
				pts := barrel(t)
				f, err := fit(pts)
				if err != nil {
					t.Fatal(err)
				}
				if ls, err := LeastSquaresCylinder(pts); err != nil || (name != "cone" && f.Width > ls.Width*(1+1e-9)) {
					t.Fatalf("%s: zone %g, least squares %g, %v", name, f.Width, ls.Width, err)
				}
				// Terms of width/R = 10⁻³ are left out of the least-squares partials.
				s.compare(t, name, len(pts), 1e-5, 5e-3, f.Partials, func(i int, h float64) float64 {
					q := append([]Point3(nil), pts...)
					ax, ay := f.X+f.DX*q[i].Z, f.Y+f.DY*q[i].Z
					l := math.Hypot(q[i].X-ax, q[i].Y-ay)
					q[i].X += h * (q[i].X - ax) / l
					q[i].Y += h * (q[i].Y - ay) / l
					m, err := fit(q)
					if err != nil {
						t.Fatal(err)
					}
					return m.Width
				})
			})
			s.enough(t, name)
		})
	}
}

func TestLawGridPartials(t *testing.T) {
	for name, f := range map[string]func(Grid) (GridZone, error){"out-of-round": OutOfRound, "taper": Taper} {
		t.Run(name, func(t *testing.T) {
			var s sample
			rapid.Check(t, func(t *rapid.T) {
				g := make(Grid, 3)
				for l := range g {
					g[l] = []float64{}
					for range 4 {
						g[l] = append(g[l], 83+rapid.Float64Range(0, 0.05).Draw(t, "d"))
					}
				}
				z, err := f(g)
				if err != nil {
					t.Fatal(err)
				}
				var flat []float64
				for _, row := range z.Partials {
					flat = append(flat, row...)
				}
				s.compare(t, name, 12, 1e-6, 1e-7, flat, func(i int, h float64) float64 {
					q := Grid{}
					for _, row := range g {
						q = append(q, append([]float64(nil), row...))
					}
					q[i/4][i%4] += h
					m, _ := f(q)
					return m.Width
				})
			})
			s.enough(t, name)
		})
	}
}

func TestLawRunOutPartials(t *testing.T) {
	var form, ecc sample
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(5, 16).Draw(t, "n")
		angles, s := make([]float64, n), make([]float64, n)
		e, phi := rapid.Float64Range(5, 50).Draw(t, "e"), rapid.Float64Range(0, 6).Draw(t, "phi")
		for i := range s {
			angles[i] = 2 * math.Pi * float64(i) / float64(n)
			s[i] = e*math.Cos(angles[i]-phi) + rapid.Float64Range(-2, 2).Draw(t, "dev")
		}
		at := func(i int, h float64) RunOut {
			q := append([]float64(nil), s...)
			q[i] += h
			r, err := SplitRunOut(angles, q)
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		r := at(0, 0)
		if r.Total.Width > 2*r.Eccentricity+r.Form.Width+1e-9 {
			t.Errorf("total %g exceeds 2·%g + %g", r.Total.Width, r.Eccentricity, r.Form.Width)
		}
		form.compare(t, "form", n, 1e-4, 1e-6, r.Form.Partials, func(i int, h float64) float64 { return at(i, h).Form.Width })
		ecc.compare(t, "eccentricity", n, 1e-4, 1e-6, r.EccentricityPartials, func(i int, h float64) float64 { return at(i, h).Eccentricity })
	})
	form.enough(t, "form")
	ecc.enough(t, "eccentricity")
}
