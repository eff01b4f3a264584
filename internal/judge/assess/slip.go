package assess

import (
	"math"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// inchTurns are the turns of gauges read in inches: 0.025 in of a thimble,
// 0.100 in of a dial. Source: common practice, no source.
var inchTurns = [...]float64{0.025 * 25.4e-3, 0.1 * 25.4e-3}

// turnsOf are the lengths by which a reading can be off by one turn.
func (e *evaluation) turnsOf(r *job.Reading, p *family.Place) []float64 {
	_, _, kind, _ := e.gaugeOf(r, p.Char)
	switch {
	case kind.Turn.IsZero():
		return nil
	case r.Unit == "in" || r.Unit == "thou":
		return inchTurns[:]
	}
	return []float64{kind.Turn.SI()}
}

// turnSlack is how near to a turn a deviation must lie.
const turnSlack = 0.02e-3

// turned is what a reading would be with one turn more or less, where that is
// likely and the reading as it stands is not.
func (e *evaluation) turned(r *job.Reading, p *family.Place, x expectation) (float64, bool) {
	if p.Char.Dim() != unit.Length || !x.closed() {
		return 0, false
	}
	v, centre, near := r.Quantity.SI(), x.centre(), turnSlack
	if band := x.hi - x.lo; !math.IsInf(band, 1) {
		near = math.Max(near, band/4)
	}
	if x.n > 0 && math.Abs(v-centre) <= x.reach(0) {
		return 0, false
	}
	for _, t := range e.turnsOf(r, p) {
		for _, sign := range [...]float64{-1, 1} {
			back := v + sign*t
			if math.Abs(v-centre) > t/2 && x.holds(back) && math.Abs(back-centre) < near && (!x.holds(v) || math.Abs(back-centre) < math.Abs(v-centre)/10) {
				return back, true
			}
		}
	}
	return 0, false
}

// otherUnit finds another unit in which the typed digits are plausible and no
// finer than the step of the gauge: near nought any number would be small enough
// in a smaller unit.
func otherUnit(r *job.Reading, x expectation, step float64) (string, bool) {
	for _, name := range unit.Names(r.Quantity.Dim) {
		switch name {
		case r.Quantity.Unit, "nm", "cm", "m": // no gauge of an engine shop shows these
			continue
		}
		q, err := unit.Parse(r.Quantity.Text, name, '.')
		if err == nil && q.N != 0 && q.N != r.Quantity.N && meant(q) > step/2 && x.near(r.Quantity.SI(), q.SI()) {
			return name, true
		}
	}
	return "", false
}

// meant is one unit of the last digit that is not a nought behind the mark.
func meant(q unit.Quantity) float64 {
	if t := q.Text; strings.Contains(t, ".") {
		q.Text = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	return q.Resolution()
}

// marked moves the decimal mark of what was typed by up to three places to
// either side, the nearest first, where the gauge could have shown that.
func marked(r *job.Reading, x expectation, step float64) (string, bool) {
	bare, minus := strings.CutPrefix(r.Quantity.Text, "-")
	whole, part, _ := strings.Cut(bare, ".")
	digits, sign := whole+part, ""
	if minus {
		sign = "-"
	}
	for _, by := range [...]int{-1, 1, -2, 2, -3, 3} {
		k := len(whole) + by
		if k < 1 || k > len(digits) {
			continue
		}
		text := sign + digits[:k]
		if k < len(digits) {
			text += "." + digits[k:]
		}
		if q, err := unit.Parse(text, r.Quantity.Unit, '.'); err == nil && q.N != 0 && q.Resolution() > step/2 && x.near(r.Quantity.SI(), q.SI()) {
			return text, true
		}
	}
	return "", false
}

// swapped exchanges neighbouring digits of what was typed, and takes what comes
// nearest to what is expected.
func swapped(r *job.Reading, x expectation) (best float64, ok bool) {
	t := []byte(r.Quantity.Text)
	for i := range t {
		j := i + 1
		if j < len(t) && t[j] == '.' {
			j++
		}
		if j >= len(t) || t[i] == '.' || t[i] == t[j] || t[i] == '-' {
			continue
		}
		t[i], t[j] = t[j], t[i]
		q, err := unit.Parse(string(t), r.Quantity.Unit, '.')
		t[i], t[j] = t[j], t[i]
		if err != nil || !x.near(r.Quantity.SI(), q.SI()) {
			continue
		}
		if !ok || math.Abs(q.SI()-x.centre()) < math.Abs(best-x.centre()) {
			best, ok = q.SI(), true
		}
	}
	return best, ok
}

// stepOn is the step of the gauge that a reading was taken with, 0 where nobody
// knows it.
func (e *evaluation) stepOn(r *job.Reading, p *family.Place) float64 {
	_, _, kind, _ := e.gaugeOf(r, p.Char)
	if kind.Resolution.Dim != r.Quantity.Dim {
		return 0
	}
	return kind.Resolution.SI()
}

// oddDecimals is how many digits behind the mark the step of the gauge asks for,
// and how many more or, negative, less were typed. In inches one digit more or
// less is nothing odd: a step of 1 µm is no whole number of any.
func oddDecimals(r *job.Reading, step float64) (want, off int) {
	if step == 0 {
		return 0, 0
	}
	want = max(0, int(math.Ceil(-math.Log10(unit.FromSI(step, r.Unit))-1e-9)))
	off = r.Quantity.Decimals() - want
	if (r.Unit == "in" || r.Unit == "thou") && (off == 1 || off == -1) {
		off = 0
	}
	return want, off
}
