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
	ThimbleTurn   = "thimble-turn"   // half a millimetre, or 0.025 in, off
	DigitSwap     = "digit-swap"     // two neighbouring digits exchanged
	MarkMoved     = "mark-moved"     // the decimal mark lost or in another place
	WrongUnit     = "wrong-unit"     // right in another unit
	Decimals      = "decimals"       // a digit more or less than the gauge gives
	Shrunk        = "against-wear"   // wear cannot move it this way
	Outlier       = "outlier"        // unlike its neighbours
	AxisExchanged = "axis-exchanged" // oval the other way than all the others
	Disagrees     = "disagrees"      // unlike the other readings of the place
	SecondReading = "second-reading" // one reading carries a costly verdict
	NotSoaked     = "not-soaked"     // part more than 2 K from 20 °C
	NoGauge       = "no-gauge"       // the gauge is not known to the shop
	BeyondCurve   = "beyond-curve"   // the gauge was not calibrated at that size
)

// ask raises questions for every reading, also for those that were corrected or
// withdrawn since, which carry their answer.
func (e *evaluation) ask(a *Assessment) {
	e.widths()
	e.medians = e.neighbours()
	cold := map[string]bool{}
	for _, sp := range e.order {
		s, p := e.series[sp], &e.Layout.Places[sp.place]
		if p.Char.Quantity == family.Check {
			continue
		}
		x, u := e.expect(sp.place, sp.state, e.medians), 0.0
		if id, ok := e.nodes[sp]; ok {
			u = e.g.U(id)
		}
		for i := range s.all {
			r := &s.all[i]
			again := len(s.used) > 1 && s.confirmed(e, r.Ordinal)
			if again {
				e.agreed[sp] = true
			}
			if id, args := e.doubted(r, p, x, u); id != "" && !(again && silenced(id)) {
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
		e.beyond(a, s, p.Part, cold)
	}
	e.exchanged(a)
	e.arrange(a)
}

// arrange puts the questions in the order of positions and states.
func (e *evaluation) arrange(a *Assessment) {
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

// doubted names the first question that a reading raises by itself: what a slip
// would explain comes before what is merely odd.
func (e *evaluation) doubted(r *job.Reading, p *family.Place, x expectation, u float64) (string, map[string]string) {
	v, centre := r.Quantity.SI(), x.centre()
	args := func(more ...string) map[string]string {
		m := map[string]string{"typed": r.Value, "unit": r.Unit}
		for i := 0; i+1 < len(more); i += 2 {
			m[more[i]] = more[i+1]
		}
		return m
	}
	written := func(si float64) map[string]string {
		return args("perhaps", unit.Format(si, r.Unit, r.Quantity.Decimals()))
	}
	if back, ok := e.turned(r, p, x); ok {
		return ThimbleTurn, written(back)
	}
	step := e.stepOn(r, p)
	want, off := oddDecimals(r, step)
	if !x.holds(v) || x.n > 0 && math.Abs(v-x.median) > x.reach(u) {
		if x.far(v) && x.closed() {
			if other, ok := otherUnit(r, x, step); ok {
				return WrongUnit, args("other", other)
			}
			if text, ok := marked(r, x, step); ok {
				return MarkMoved, args("perhaps", text)
			}
			if si, ok := swapped(r, x); ok && off <= 0 {
				return DigitSwap, written(si)
			}
		}
		if off != 0 {
			return Decimals, args("expected", strconv.Itoa(want))
		}
		if id := against(v, r, p); id != "" && x.holds(v) {
			return id, written(centre)
		}
		return Outlier, written(centre)
	}
	if id := against(v, r, p); id != "" {
		return id, written(centre)
	}
	if off != 0 && x.stray(v, u) {
		return Decimals, args("expected", strconv.Itoa(want))
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
