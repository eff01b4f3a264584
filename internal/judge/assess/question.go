package assess

import (
	"math"
	"sort"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// The questions that a reading can raise.
const (
	ThimbleTurn = "thimble-turn" // half a millimetre, or 0.025 in, off
	DigitSwap   = "digit-swap"   // two neighbouring digits exchanged
	WrongUnit   = "wrong-unit"   // right in another unit
	Shrunk      = "against-wear" // wear cannot move it this way
	Outlier     = "outlier"      // unlike its neighbours
	Disagrees   = "disagrees"    // unlike the other readings of the place
	NotSoaked   = "not-soaked"   // part more than 2 K from 20 °C
	NoGauge     = "no-gauge"     // the gauge is not known to the shop
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

// expectation is what a reading of a place may plausibly be.
type expectation struct {
	mid, lo, hi float64 // middle and plausible band, formula units
	median, mad float64 // of the other places of its characteristic
	n           int
}

// ask raises questions for every reading, also for those that were corrected or
// withdrawn since, which carry their answer.
func (e *evaluation) ask(a *Assessment) {
	medians := e.neighbours()
	cold := map[string]bool{}
	for _, sp := range e.order {
		s, p := e.series[sp], &e.Layout.Places[sp.place]
		if p.Char.Quantity == family.Check {
			continue
		}
		x, u := e.expect(p, sp.state, medians), 0.0
		if id, ok := e.nodes[sp]; ok {
			u = e.g.U(id)
		}
		for i := range s.all {
			r := &s.all[i]
			if id, args := e.doubted(r, p, x, u); id != "" {
				a.Questions = append(a.Questions, question(id, r, args, ""))
			}
			e.chill(a, r, p, cold)
		}
		for i := range s.voids {
			r := &s.voids[i]
			if id, args := e.doubted(r, p, x, u); id != "" {
				a.Questions = append(a.Questions, question(id, r, args, r.Voided))
			}
		}
		e.quarrel(a, s, p)
	}
	rank := map[string]int{}
	for i, s := range e.states {
		rank[s] = i
	}
	sort.SliceStable(a.Questions, func(i, j int) bool {
		q, r := &a.Questions[i], &a.Questions[j]
		switch {
		case q.Position != r.Position:
			return q.Position < r.Position
		case q.State != r.State:
			return rank[q.State] < rank[r.State]
		case q.ID != r.ID:
			return q.ID < r.ID
		}
		return q.Ordinal < r.Ordinal
	})
}

func question(id string, r *job.Reading, args map[string]string, answer string) Question {
	q := Question{ID: id, Position: r.Position, State: r.State, Ordinal: r.Ordinal, Args: args, Answer: answer, Key: r.Key}
	if answer != "" {
		q.Reason, q.Ordinal = r.Reason, 0
	}
	if a, ok := r.Answers[id]; ok && answer == "" {
		q.Answer, q.Reason = a.Answer, a.Reason
	}
	return q
}

// neighbours is the median and the median absolute deviation of every
// characteristic over its places in one state, group by group of limits: an
// inlet stem has only inlet stems for neighbours. A characteristic with fewer
// than six measured places has none.
func (e *evaluation) neighbours() map[string]expectation {
	groups := map[string][]float64{}
	for sp, id := range e.nodes {
		p := &e.Layout.Places[sp.place]
		if p.Char.Relation == "" {
			k := groupOf(p, sp.state)
			groups[k] = append(groups[k], e.g.Value(id))
		}
	}
	out := map[string]expectation{}
	for k, x := range groups {
		if len(x) < 6 {
			continue
		}
		sort.Float64s(x)
		m := middle(x)
		d := make([]float64, len(x))
		for i, v := range x {
			d[i] = math.Abs(v - m)
		}
		sort.Float64s(d)
		out[k] = expectation{median: m, mad: middle(d), n: len(x)}
	}
	return out
}

func groupOf(p *family.Place, state int) string {
	k := p.Char.ID + "|" + strconv.Itoa(state)
	for _, l := range []*family.Limit{p.Used, p.New} {
		if l != nil {
			k += "|" + l.Min.String() + "|" + l.Max.String()
		}
	}
	return k
}

func middle(sorted []float64) float64 {
	n := len(sorted)
	if n%2 == 1 {
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}

// expect is the plausible band of a place: all its limits, widened on both
// sides by three times their width and by a tenth of a millimetre or, where it
// is no length, a twentieth of the nominal. Without a nominal, a limit on one
// side alone leaves the other open, save that what has a most above nought is
// not expected below it.
func (e *evaluation) expect(p *family.Place, state int, medians map[string]expectation) expectation {
	x := medians[groupOf(p, state)]
	low, high := math.Inf(1), math.Inf(-1) // of all least and of all most values
	shift := e.shift(p, state)
	take := func(q unit.Quantity, ends ...*float64) {
		for _, end := range ends {
			if q.IsZero() {
				continue
			}
			if end == &low {
				low = math.Min(low, q.SI()+shift)
			} else {
				high = math.Max(high, q.SI()+shift)
			}
		}
	}
	take(p.Char.Nominal, &low, &high)
	for _, l := range []*family.Limit{p.New, p.Used} {
		if l != nil {
			take(l.Min, &low)
			take(l.Max, &high)
		}
	}
	if math.IsInf(low, 1) && high > 0 {
		low = 0
	}
	x.lo, x.hi = math.Inf(-1), math.Inf(1)
	switch {
	case math.IsInf(low, 1) && math.IsInf(high, -1):
		return x
	case math.IsInf(low, 1):
		x.mid, x.hi = high, high+e.pad(p, high, high)
	case math.IsInf(high, -1):
		x.mid, x.lo = low, low-e.pad(p, low, low)
	default:
		x.mid, x.lo, x.hi = (low+high)/2, low-e.pad(p, low, high), high+e.pad(p, low, high)
	}
	if !p.Char.Nominal.IsZero() {
		x.mid = p.Char.Nominal.SI() + shift
	}
	return x
}

func (e *evaluation) pad(p *family.Place, lo, hi float64) float64 {
	if p.Char.Dim() == unit.Length {
		return math.Max(3*(hi-lo), 0.1e-3)
	}
	return math.Max(3*(hi-lo), math.Max(math.Abs(lo), math.Abs(hi))/20)
}

// doubted names the first question that a reading raises by itself.
func (e *evaluation) doubted(r *job.Reading, p *family.Place, x expectation, u float64) (string, map[string]string) {
	v := r.Quantity.SI()
	centre := x.mid
	if x.n > 0 {
		centre = x.median
	}
	written := func(si float64) map[string]string {
		return map[string]string{"typed": r.Value, "unit": r.Unit, "perhaps": unit.Format(si, r.Unit, r.Quantity.Decimals())}
	}
	within := func(si float64) bool { return si >= x.lo && si <= x.hi }
	band, near := x.hi-x.lo, turnSlack
	closed := !math.IsInf(band, 1)
	if closed {
		near = math.Max(near, band/4)
	}
	if p.Char.Dim() == unit.Length && (closed || x.n > 0) {
		for _, t := range e.turnsOf(r, p) {
			for _, sign := range []float64{-1, 1} {
				back := v + sign*t
				if math.Abs(v-centre) > t/2 && within(back) && math.Abs(back-centre) < near && (!within(v) || math.Abs(back-centre) < math.Abs(v-centre)/10) {
					return ThimbleTurn, written(back)
				}
			}
		}
	}
	if !within(v) {
		if other, ok := otherUnit(r, within); ok && closed {
			return WrongUnit, map[string]string{"typed": r.Value, "unit": r.Unit, "other": other}
		}
		if si, ok := swapped(r, within); ok && closed {
			return DigitSwap, written(si)
		}
		return Outlier, written(centre)
	}
	if id := against(v, r, p); id != "" {
		return id, written(centre)
	}
	// Source: common practice, no source: four scaled median deviations; the
	// floors, an eighth of the band and three expanded uncertainties, keep tight
	// groups from asking for nothing.
	if d := math.Abs(v - x.median); x.n > 0 && d > 4*1.4826*x.mad && d > band/8 && d > 6*u {
		return Outlier, written(x.median)
	}
	return "", nil
}

// against asks about a worn size that lies on the wrong side of new.
func against(v float64, r *job.Reading, p *family.Place) string {
	if p.New == nil || r.State != job.Found {
		return ""
	}
	slack := 0.01e-3
	if p.Char.Dim() != unit.Length {
		return ""
	}
	switch {
	case p.Char.Wears == "up" && !p.New.Min.IsZero() && v < p.New.Min.SI()-slack:
		return Shrunk
	case p.Char.Wears == "down" && !p.New.Max.IsZero() && v > p.New.Max.SI()+slack:
		return Shrunk
	}
	return ""
}

// otherUnit finds another unit in which the typed digits are plausible.
func otherUnit(r *job.Reading, within func(float64) bool) (string, bool) {
	for _, name := range unit.Names(r.Quantity.Dim) {
		if name == r.Quantity.Unit {
			continue
		}
		q, err := unit.Parse(r.Quantity.Text, name, '.')
		if err == nil && q.N != 0 && within(q.SI()) {
			return name, true
		}
	}
	return "", false
}

// swapped exchanges neighbouring digits of what was typed.
func swapped(r *job.Reading, within func(float64) bool) (float64, bool) {
	t := []byte(r.Quantity.Text)
	for i := range t {
		j := i + 1
		if j < len(t) && t[j] == '.' {
			j++
		}
		if j >= len(t) || t[i] == '.' || t[i] == t[j] || t[i] == '-' {
			continue
		}
		c := append([]byte(nil), t...)
		c[i], c[j] = c[j], c[i]
		q, err := unit.Parse(string(c), r.Quantity.Unit, '.')
		if err == nil && within(q.SI()) {
			return q.SI(), true
		}
	}
	return 0, false
}

// quarrel asks where two readings of one place differ by more than the
// repeatability limit of their gauge and its step, twice that to keep silence:
// in an engine there are hundreds of pairs.
//
// Source: ISO 5725-6:1994, 4.1.1 (repeatability limit 2.8 standard deviations).
func (e *evaluation) quarrel(a *Assessment, s *series, p *family.Place) {
	for i := 1; i < len(s.used); i++ {
		x, y := s.used[i-1], s.used[i]
		if x.node < 0 || y.node < 0 {
			return
		}
		step := math.Max(x.step, y.step) / math.Sqrt(12)
		u := math.Hypot(math.Hypot(x.kind.Repeat.SI(), x.kind.SetRepeat.SI()), step)
		d := math.Abs(e.g.Value(x.node) - e.g.Value(y.node))
		if u > 0 && d > 2*2.8*u {
			a.Questions = append(a.Questions, question(Disagrees, y.Reading, map[string]string{"typed": y.Value, "unit": y.Unit,
				"perhaps": x.Value, "other": x.Unit}, ""))
		}
	}
}

// chill asks once a part and day about readings taken far from 20 °C, and once
// a gauge about readings with one that the shop does not know, or knows for
// another kind of quantity.
func (e *evaluation) chill(a *Assessment, r *job.Reading, p *family.Place, seen map[string]bool) {
	part := "t|" + p.Part + "|" + strconv.FormatInt(r.Time/(24*3600*1e6), 10)
	if r.PartTemp != "" && p.Char.Dim() == unit.Length {
		if q, err := unit.Parse(r.PartTemp, "°C", '.'); err == nil && math.Abs(q.SI()-20) > 2 && !seen[part] {
			seen[part] = true
			a.Questions = append(a.Questions, question(NotSoaked, r, map[string]string{"part": p.Part,
				"temperature": r.PartTemp, "away": strconv.FormatFloat(q.SI()-20, 'f', 1, 64)}, ""))
		}
	}
	if r.Gauge == "" || seen["g|"+r.Gauge] {
		return
	}
	if _, _, _, own := e.gaugeOf(r, p.Char); own == nil {
		seen["g|"+r.Gauge] = true
		a.Questions = append(a.Questions, question(NoGauge, r, map[string]string{"gauge": r.Gauge}, ""))
	}
}
