package gauge

import (
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/facts/shop"

	"gonum.org/v1/gonum/stat/distuv"
)

// typical is the repeat of the gauge's type with the step of its scale.
func (j *judge) typical() float64 {
	k, ok := j.kind(j.s.Gauge)
	if !ok {
		return 0
	}
	return math.Hypot(k.Repeat.SI(), k.Resolution.SI()/math.Sqrt(12))
}

// hands works out the bias of the day in each pair of hands.
func (j *judge) hands(checks []shop.Check) {
	s := j.s
	at := checks[len(checks)-1]
	bias, certificate, known := j.calibrated(&at)
	for _, p := range j.persons {
		v := j.cells[cell{p, s.Day}]
		if len(v) == 0 {
			continue
		}
		h := Hand{Person: p, Checks: len(v), Bias: mean(v), SU: s.Repeat / math.Sqrt(float64(len(v))), Known: known}
		var earlier []float64
		inverse := 0.0
		for _, d := range j.days {
			if w := j.cells[cell{p, d}]; d < s.Day && len(w) > 0 {
				earlier = append(earlier, mean(w))
				inverse += 1 / float64(len(w))
			}
		}
		if h.Days = len(earlier); h.Days > 0 {
			n := float64(h.Days)
			h.Shift = h.Bias - mean(earlier)
			h.ShiftSU = math.Hypot(h.SU, s.Repeat*math.Sqrt(inverse)/n)
		}
		if known {
			h.Off = h.Bias - bias
			h.OffSU = math.Hypot(h.SU, math.Hypot(certificate, j.worth(s.Master, &at)))
		}
		s.Hands = append(s.Hands, h)
	}
}

// calibrated is what the calibration in force takes off at the master's size,
// and the standard uncertainty of that with what stays after it.
func (j *judge) calibrated(at *shop.Check) (bias, u float64, ok bool) {
	g, kind := j.sh.Gauges[at.Gauge], 0.0
	if g == nil {
		return 0, 0, false
	}
	c, ok := g.At(at.Time)
	if !ok || c.BiasQ.Dim != at.TrueQ.Dim {
		return 0, 0, false
	}
	if k, ok := j.kind(at.Gauge); ok {
		kind = k.Bias.SI()
	}
	b, expanded, _ := c.BiasAt(at.ReadQ.SI())
	return b, math.Hypot(expanded/c.K, kind), true
}

// worth is the standard uncertainty of a master's size.
func (j *judge) worth(master string, at *shop.Check) float64 {
	g, u := j.sh.Gauges[master], 0.0
	if k, ok := j.kind(master); ok {
		u = k.Bias.SI()
	}
	if g == nil {
		return u
	}
	if c, ok := g.At(at.Time); ok && c.BiasQ.Dim == at.TrueQ.Dim {
		_, expanded, _ := c.BiasAt(at.TrueQ.SI())
		u = math.Hypot(u, expanded/c.K)
	}
	return u
}

// alert compares each bias with earlier days and with the calibration.
func (j *judge) alert(checks []shop.Check) {
	s, factor := j.s, 2.0
	if s.Dof > 0 {
		factor = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(s.Dof)}.Quantile(0.975)
	}
	at := checks[len(checks)-1]
	length := at.TrueQ.Dim == unit.Length
	for _, h := range s.Hands {
		if d := factor * h.ShiftSU; h.Days > 0 && (math.Abs(h.Shift) > d && d > 0 || length && math.Abs(h.Shift) > drift) {
			s.Alerts = append(s.Alerts, Alert{Shifted, h.Person, h.Shift, d})
		}
		if d := 2 * h.OffSU; h.Known && math.Abs(h.Off) > d {
			s.Alerts = append(s.Alerts, Alert{Off, h.Person, h.Off, d})
		}
	}
	if g := j.sh.Gauges[s.Gauge]; g != nil {
		if c, ok := g.At(at.Time); ok && c.BiasQ.Dim == at.TrueQ.Dim {
			if _, _, beyond := c.BiasAt(at.ReadQ.SI()); beyond {
				s.Alerts = append(s.Alerts, Alert{Kind: Beyond, Value: at.ReadQ.SI()})
			}
		}
	}
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}
