package assess

import (
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/know/family"
	"fettle/internal/know/instrument"
	"fettle/internal/maths/gum"
)

// Doubts of a temperature, in kelvin, standard uncertainty. A thermometer on
// the part reads within ±0.5 K; parts that lie in one room differ by a little;
// a temperature that nobody took lies within ±3 K of 20 °C.
// Source: common practice, no source.
const (
	thermometer = 0.25
	soak        = 0.15
	guessed     = 3 / 1.7320508075688772
)

// measured is one reading with its node.
type measured struct {
	*job.Reading
	node    gum.ID
	gauge   string // id, or the type where no gauge was named
	cause   string // what tells its causes from those of other gauges
	kind    instrument.Instrument
	own     *shop.Gauge // nil where the shop does not know the gauge
	repeat  float64
	bias    gum.ID  // the cause of its gauge's bias, a leaf
	master  gum.ID  // that of what it was set on; None for what is no comparator
	step    float64 // of the scale or of what was typed, the wider
	remarks []remark
	frame   [][]gum.ID // what brings it to 20 °C: the arguments of the relation behind the indication
}

// qualify splits the readings of a series into those that were taken under the
// condition the characteristic asks for and those that were not, and makes the
// nodes of the former.
func (e *evaluation) qualify(s *series, p *family.Place) {
	for i := range s.all {
		r := &s.all[i]
		lacks := ""
		for _, c := range p.Char.Condition {
			if !contains(r.Condition, c) {
				lacks = c
				break
			}
		}
		if lacks != "" {
			if !contains(s.lacks, lacks) {
				s.lacks = append(s.lacks, lacks)
			}
			continue
		}
		m := &measured{Reading: r, node: gum.None, master: gum.None}
		s.used = append(s.used, m)
	}
	if p.Char.Quantity == family.Check {
		return
	}
	for _, m := range s.used {
		e.take(m, p)
	}
	e.gather(s)
	steps := map[string]gum.ID{}
	scatter, dof := e.observed(s.used)
	for _, m := range s.used {
		d := 0.0
		if dof >= 2 && scatter > m.repeat {
			m.repeat, d = scatter, dof // one estimate serves them all: see Pool
		}
		m.node = e.read(m, s.used, steps, d)
	}
}

// take finds the gauge of a reading and what brings it to 20 °C.
func (e *evaluation) take(m *measured, p *family.Place) {
	m.gauge, m.cause, m.kind, m.own = e.gaugeOf(m.Reading, p.Char)
	m.repeat = m.kind.Repeat.SI()
	m.step = math.Max(m.Quantity.Resolution(), m.kind.Resolution.SI())
	if m.kind.Interval {
		m.step = m.kind.Resolution.SI()
	}
	biases, material := e.biases(m)
	if p.Char.Dim() != unit.Length {
		m.frame = [][]gum.ID{biases}
		return
	}
	day := m.Time / (24 * 3600 * 1e6)
	m.frame = [][]gum.ID{{e.expansion(e.Layout.Material(p))}, {e.temperature(m.PartTemp, day, p.Part)},
		{e.expansion(material)}, {e.temperature(m.GaugeTemp, day, "")}, biases}
}

// coarse reports a reading whose step is wider than twice its repeat: reading it
// again shows the same step again, and the mean is no better for it. A feeler's
// step never averages.
//
// Source: common practice, no source; JCGM 100:2008, F.2.2.1 (a step is a cause
// of its own).
func (m *measured) coarse() bool { return m.kind.Interval || m.step > 2*m.repeat }

// observed is the standard deviation, at 20 °C, of three or more readings of one
// spot.
func (e *evaluation) observed(used []*measured) (s, dof float64) {
	if len(used) < 3 {
		return 0, 0
	}
	var sum, sq float64
	x := make([]float64, len(used))
	for i, m := range used {
		x[i] = e.size(m)
		sum += x[i]
	}
	mean := sum / float64(len(used))
	for i := range used {
		d := x[i] - mean
		sq += d * d
	}
	dof = float64(len(used) - 1)
	return math.Sqrt(sq / dof), dof
}

// size is the value of a reading at 20 °C.
func (e *evaluation) size(m *measured) float64 {
	x := [][]float64{{m.Quantity.SI()}}
	for _, ids := range m.frame {
		list := make([]float64, len(ids))
		for i, id := range ids {
			list[i] = e.g.Value(id)
		}
		x = append(x, list)
	}
	y, err := e.relation(m).Value(x)
	if err != nil {
		panic("assess: " + err.Error())
	}
	return y
}

// relation is what makes a value of an indication: a length is brought to 20 °C.
func (e *evaluation) relation(m *measured) *gum.Relation {
	if len(m.frame) == 1 {
		return withoutBias
	}
	return e.reduce
}

// gaugeOf finds the gauge of a reading, what tells its causes from those of
// others, and its type. Where the shop does not know the gauge, or knows it for
// another kind of quantity, the usual type of the characteristic stands in. A
// gauge that nobody named may be any: it is one for each characteristic.
func (e *evaluation) gaugeOf(r *job.Reading, c *family.Characteristic) (id, cause string, t instrument.Instrument, own *shop.Gauge) {
	if g := e.Shop.Gauges[r.Gauge]; g != nil {
		if t, ok := e.Library.Instruments[g.Type]; ok && t.Quantity == c.Quantity {
			return g.Gauge, g.Gauge, t, g
		}
	}
	if t, ok := e.Library.Instruments[r.Gauge]; ok && t.Quantity == c.Quantity {
		return r.Gauge, r.Gauge, t, nil
	}
	if len(c.Gauges) > 0 {
		t = e.Library.Instruments[c.Gauges[0]]
	}
	if r.Gauge == "" {
		return t.ID, "?" + c.ID, t, nil
	}
	return r.Gauge, "?" + r.Gauge, t, nil
}

// read makes the node of one reading: the size at 20 °C for a length, the value
// less its biases for anything else. steps holds the coarse steps of the spot.
//
// Shapes: one reading -> one node.
// Units:  formula unit of the characteristic.
// Source: JCGM 100:2008, 4.3 (type B evaluations) and annex H.1 (model); the
// split of a gauge's doubt into its causes is common practice, no source.
func (e *evaluation) read(m *measured, used []*measured, steps map[string]gum.ID, dof float64) gum.ID {
	u, last := m.repeat, len(m.frame)-1
	if dof == 0 {
		u, _, _ = m.kind.Rest()
	}
	if !m.coarse() {
		u = math.Hypot(u, m.step/math.Sqrt(12))
	} else {
		m.frame[last] = append(m.frame[last], e.stepOf(m, used, steps))
	}
	if dof == 0 { // what repeats were seen to scatter by has these in it
		m.frame[last] = append(m.frame[last], e.liquid(m)...)
	}
	l := gum.Leaf{Kind: gum.Repeat, Ref: m.gauge, Value: m.Quantity.SI(), U: u, Dof: dof}
	if dof > 0 {
		l.Pool = "scatter:" + m.Position + "|" + m.State
	}
	ind := e.g.Own(l)
	id, err := e.g.Apply(e.relation(m), append([][]gum.ID{{ind}}, m.frame...))
	if err != nil {
		panic("assess: " + err.Error())
	}
	return id
}

// liquid are the causes that a burette has beside its repeat: its scale is read
// at two ends of a column, and a drop hangs or has just fallen.
//
// Source: common practice, no source.
func (e *evaluation) liquid(m *measured) (out []gum.ID) {
	if s := m.kind.Meniscus.SI(); s > 0 {
		out = append(out, e.g.Own(gum.Leaf{Kind: gum.Meniscus, Ref: m.gauge, U: math.Sqrt2 * s}))
	}
	if d := m.kind.Drop.SI(); d > 0 {
		out = append(out, e.g.Own(gum.Leaf{Kind: gum.Drop, Ref: m.gauge, U: d / math.Sqrt(12), Dist: gum.Rectangular}))
	}
	return out
}

// linearity is what a gauge is off otherwise at this load than at others: an
// even law at every multiple of a distance, none the wiser of the next, and
// between two of them a mixture of both that is as wide as either. So what two
// masses that are nearly alike are off cancels in their difference, and what two
// far apart are off does not.
//
//	ε(x) = (w₀·δ_k + w₁·δ_{k+1})/√(w₀² + w₁²),  w₁ = x/d − k = 1 − w₀
//
// Shapes: one size -> one node; none where the type has no linearity, or a curve
// of its own says what it is off at each size.
// Units:  formula unit of the gauge's quantity.
// Source: common practice, no source.
func (e *evaluation) linearity(m *measured) []gum.ID {
	lin, over := m.kind.Linearity.SI(), m.kind.Over.SI()
	if lin <= 0 {
		return nil
	}
	if m.own != nil {
		if c, ok := m.own.At(m.Time); ok && len(c.Points) > 0 && c.BiasQ.Dim == m.kind.Resolution.Dim {
			return nil
		}
	}
	at := m.Quantity.SI() / over
	k := math.Floor(at)
	w := [2]float64{1 - (at - k), at - k}
	n := math.Hypot(w[0], w[1])
	var ends [2]gum.ID
	for i := range ends {
		ends[i] = e.g.Leaf(gum.Leaf{Key: "linearity:" + m.cause + "|" + m.kind.ID + "|" + strconv.FormatFloat(k+float64(i), 'f', 0, 64),
			Kind: gum.Linearity, Ref: m.gauge, U: lin / math.Sqrt(3), Dist: gum.Rectangular})
	}
	id, err := e.g.Apply(between(w[0]/n, w[1]/n), [][]gum.ID{{ends[0]}, {ends[1]}})
	if err != nil {
		panic("assess: " + err.Error())
	}
	return []gum.ID{id}
}

// between mixes what a gauge is off at two loads.
func between(w0, w1 float64) *gum.Relation {
	return &gum.Relation{Name: "linearity", Equation: "ε = (w₀·δ₀ + w₁·δ₁)/√(w₀² + w₁²)", Source: "gum-2008", Linear: true,
		In:       []gum.Symbol{{Letter: "δ₀", Name: "below"}, {Letter: "δ₁", Name: "above"}},
		Value:    func(x [][]float64) (float64, error) { return w0*x[0][0] + w1*x[1][0], nil },
		Partials: func(x, g [][]float64) { g[0][0], g[1][0] = w0, w1 }}
}

// stepOf is the cause that all coarse readings of one spot with one gauge share:
// the widest of their steps.
func (e *evaluation) stepOf(m *measured, used []*measured, steps map[string]gum.ID) gum.ID {
	if id, ok := steps[m.cause]; ok {
		return id
	}
	step := 0.0
	for _, o := range used {
		if o.cause == m.cause && o.coarse() {
			step = math.Max(step, o.step)
		}
	}
	steps[m.cause] = e.g.Own(gum.Leaf{Kind: gum.Resolution, Ref: m.gauge, U: step / math.Sqrt(12), Dist: gum.Rectangular})
	return steps[m.cause]
}

// biases are the causes that stay the same from reading to reading of one
// gauge: its own, that of what it was set on, and the error of the setting. With
// them comes the material that carries the scale: that of the master, if any.
func (e *evaluation) biases(m *measured) ([]gum.ID, string) {
	own, leaf := e.bias(m.cause, m.gauge, m.own, m.kind, m)
	m.bias = leaf
	out, material := append([]gum.ID{own}, e.linearity(m)...), m.kind.Material
	if rel := m.kind.Relative.SI(); rel > 0 {
		// A part of the reading: the cause is the gauge's own factor.
		key := "relative:" + m.cause + "|" + m.kind.ID
		id, err := e.g.Apply(scaleBy(m.Quantity.SI()), [][]gum.ID{{e.g.Leaf(gum.Leaf{Key: key, Kind: gum.Gauge, Ref: m.gauge, U: rel})}})
		if err != nil {
			panic("assess: " + err.Error())
		}
		out = append(out, id)
	}
	if m.kind.Set != "master" {
		return out, material
	}
	ref, cause, kind, known := e.masterOf(m)
	if kind.Material != "" {
		material = kind.Material
	}
	day := m.Time / (24 * 3600 * 1e6)
	set := "set:" + m.cause + "|" + m.kind.ID + "|" + cause + "|" + strconv.FormatInt(day, 10)
	size, leaf := e.bias(cause, ref, known, kind, m)
	m.master = leaf
	return append(out, e.g.Leaf(gum.Leaf{Key: set, Kind: gum.Master, Ref: m.gauge, U: m.kind.SetRepeat.SI()}), size), material
}

// masterOf is what a comparator was set on: what the reading says, else what the
// shop says of the gauge. One that nobody knows is taken to be worth what the
// comparator is.
func (e *evaluation) masterOf(m *measured) (id, cause string, kind instrument.Instrument, own *shop.Gauge) {
	id = m.Master
	if id == "" && m.own != nil {
		id = m.own.Master
	}
	if g := e.Shop.Gauges[id]; g != nil {
		if t, ok := e.Library.Instruments[g.Type]; ok && t.Quantity == m.kind.Quantity {
			return id, id, t, g
		}
	}
	if t, ok := e.Library.Instruments[id]; ok && t.Quantity == m.kind.Quantity {
		return id, id, t, nil
	}
	if id == "" {
		id = "?master-of-" + m.gauge
		return id, "?master-of-" + m.cause, m.kind, nil
	}
	return id, "?" + id, m.kind, nil
}

// bias is one gauge's bias under the calibration in force when a reading was
// taken, and the cause behind it. The two are one leaf unless the calibration
// has a curve.
func (e *evaluation) bias(cause, ref string, own *shop.Gauge, kind instrument.Instrument, m *measured) (id, leaf gum.ID) {
	_, stays, _ := kind.Rest()
	l := gum.Leaf{Key: "gauge:" + cause + "|" + kind.ID, Kind: gum.Gauge, Ref: ref, U: stays}
	if own != nil {
		if c, ok := own.At(m.Time); ok && c.BiasQ.Dim == kind.Resolution.Dim {
			l.Key += "@" + strconv.FormatInt(c.Date, 10)
			if len(c.Points) > 0 && kind.Set != "master" {
				id, leaf = e.curve(l, &c, kind, m.Quantity.SI())
				m.outside(&c, ref, leaf)
				m.due(&c, ref, leaf)
				return id, leaf
			}
			l.Value, l.U = c.BiasQ.SI(), math.Hypot(c.ExpandedQ.SI()/c.K, stays)
			id = e.g.Leaf(l)
			m.due(&c, ref, id)
			return id, id
		}
	}
	id = e.g.Leaf(l)
	return id, id
}

// curve is the bias at the size of a reading: a known correction, and the doubt
// of the gauge, which is one cause for readings of every size. Where the
// certificate is better than at its worst point, the reading leans on the cause
// by that much less.
//
//	b(x) = b₀(x) + f(x)·δ,  u(δ) the largest of the curve,  f(x) = u(x)/u(δ)
//
// Shapes: one size -> node and leaf.
// Units:  formula unit of the gauge's quantity.
// Source: JCGM 100:2008, 4.3.3 (U/k of a certificate); that the doubts of one
// certificate go together at all sizes is common practice, no source.
func (e *evaluation) curve(l gum.Leaf, c *shop.Calibration, kind instrument.Instrument, x float64) (id, leaf gum.ID) {
	b, expanded, _ := c.BiasAt(x)
	l.U = math.Hypot(c.Widest()/c.K, kind.Bias.SI())
	f := 1.0
	if l.U > 0 {
		f = math.Hypot(expanded/c.K, kind.Bias.SI()) / l.U
	}
	leaf = e.g.Leaf(l)
	known := e.g.Leaf(gum.Leaf{Key: "curve:" + l.Key + "=" + strconv.FormatFloat(b, 'g', -1, 64), Kind: gum.Given, Ref: l.Ref, Value: b})
	id, err := e.g.Apply(atSize(f), [][]gum.ID{{known}, {leaf}})
	if err != nil {
		panic("assess: " + err.Error())
	}
	return id, leaf
}

// atSize puts a known correction and a part of a doubt together.
func atSize(f float64) *gum.Relation {
	return &gum.Relation{Name: "bias-curve", Equation: "b = b₀ + f·δ", Source: "gum-2008", Linear: true,
		In:       []gum.Symbol{{Letter: "b₀", Name: "correction"}, {Letter: "δ", Name: "doubt"}},
		Value:    func(x [][]float64) (float64, error) { return x[0][0] + f*x[1][0], nil },
		Partials: func(x, g [][]float64) { g[0][0], g[1][0] = 1, f }}
}

// temperature is the node of a part's or gauge's temperature, °C: what the
// thermometer showed that day, shared by all that lay in the same air, and for
// a part how far it may have been from that.
func (e *evaluation) temperature(typed string, day int64, part string) gum.ID {
	at := air{typed, day, part}
	if id, ok := e.airs[at]; ok {
		return id
	}
	l := gum.Leaf{Key: "room:" + strconv.FormatInt(day, 10), Kind: gum.PartTemp, Ref: typed, Value: 20, U: guessed, Dist: gum.Rectangular}
	if q, err := unit.Parse(typed, "°C", '.'); typed != "" && err == nil {
		l.Key += "|" + strconv.FormatFloat(q.SI(), 'g', -1, 64) // 21 and 21.0 are one temperature
		l.Value, l.U, l.Dist = q.SI(), thermometer, gum.Normal
	}
	room := e.g.Leaf(l)
	e.airs[air{typed, day, ""}] = room
	if part == "" {
		return room
	}
	own := e.g.Leaf(gum.Leaf{Key: "soak:" + part + "|" + strconv.FormatInt(day, 10), Kind: gum.PartTemp, Ref: part, U: soak})
	id, err := e.g.Apply(e.rel["sum"], [][]gum.ID{{room, own}})
	if err != nil {
		panic("assess: " + err.Error())
	}
	e.airs[at] = id
	return id
}

// air is what a temperature node is known by: what was typed, the day, and the
// part, "" for a gauge.
type air struct {
	typed string
	day   int64
	part  string
}

// expansion is the leaf of a material's coefficient. A gauge without a scale of
// its own, such as a dial, has none: what it shows is a small difference.
func (e *evaluation) expansion(material string) gum.ID {
	m := e.Library.Materials[material]
	return e.g.Leaf(gum.Leaf{Key: "alpha:" + material, Kind: gum.Expansion, Ref: material, Value: m.Expansion.SI(),
		U: m.HalfWidth.SI() / math.Sqrt(3), Dist: gum.Rectangular})
}

// withoutBias is x − Σb for quantities that do not grow with temperature.
var withoutBias = &gum.Relation{Name: "without-bias", Equation: "y = x − Σb", Source: "gum-2008", Linear: true,
	In: []gum.Symbol{{Letter: "x", Name: "indication"}, {Letter: "b", Name: "bias", Many: true}},
	Value: func(x [][]float64) (float64, error) {
		y := x[0][0]
		for _, b := range x[1] {
			y -= b
		}
		return y, nil
	},
	Partials: func(x, g [][]float64) {
		g[0][0] = 1
		for i := range g[1] {
			g[1][i] = -1
		}
	}}

// scaleBy turns a relative cause into a bias of a reading x.
func scaleBy(x float64) *gum.Relation {
	return &gum.Relation{Name: "relative", Equation: "b = ρ·x", Source: "gum-2008", Linear: true, In: []gum.Symbol{{Letter: "ρ", Name: "relative"}},
		Value:    func(r [][]float64) (float64, error) { return r[0][0] * x, nil },
		Partials: func(r, g [][]float64) { g[0][0] = x }}
}
