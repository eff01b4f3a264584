package demo

import (
	"strconv"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/know/family"
)

// measuring is one session under way.
type measuring struct {
	*walk
	s       *Session
	no      string
	now     int64           // µs since 1970
	checked map[string]bool // gauges read on their master in this session
	holding string          // gauge in hand
}

// What a thermometer on the part or beside the gauge is worth, and how far
// parts that have lain overnight differ from the room. Standard deviations in
// K; common practice, no source.
const (
	thermometerBias   = 0.2
	thermometerRepeat = 0.15
	soakedPart        = 0.25
	soakedGauge       = 0.15
)

// pass lets about so many seconds go by, whole ones.
func (m *measuring) pass(seconds float64) {
	r := m.luck.stream("time", m.no, strconv.FormatInt(m.now, 10))
	m.now += int64(seconds*(0.7+0.6*r.Float64())) * 1e6
}

func (m *measuring) by() By { return By{m.s.Person, m.s.Device} }

// characteristic walks the places of one characteristic, as often as it is
// repeated, and afterwards puts right what was noted wrong.
func (m *measuring) characteristic(places []*family.Place) {
	m.pass(100)
	n := 1
	for _, r := range m.t.Repeats {
		if like(r.Of, places[0].Char.ID) {
			n = r.N
			break
		}
	}
	rounds := [][]*family.Place{}
	for range n {
		rounds = append(rounds, places)
	}
	if again := m.again(places); n == 1 && len(again) > 0 {
		rounds = append(rounds, again)
	}
	type fix struct {
		key   string
		right job.ReadingV1
		why   string
		place string
	}
	var fixes []fix
	for round, places := range rounds {
		if round > 0 {
			m.pass(200)
		}
		for _, p := range places {
			r := m.read(p, round)
			m.pass(14)
			slip := m.slips[p.ID]
			first := round == 0
			wrong := r
			if slip != nil && first {
				wrong.Value = slip.write(r.Value, r.Unit)
				wrong.Typed = wrong.Value
			}
			key := m.put(entry.Reading, m.by(), m.now, wrong, p.ID, strconv.Itoa(round))
			if first {
				m.keys[p.ID] = key
			}
			if slip != nil && first && slip.Corrected != "" {
				fixes = append(fixes, fix{key, r, slip.Corrected, p.ID})
			}
		}
	}
	for _, f := range fixes {
		m.pass(180)
		m.put(entry.Correction, m.by(), m.now, job.CorrectionV1{Target: f.key, Reading: f.right, Reason: f.why}, f.place)
	}
}

// again are the places that one reading is not enough for.
func (m *measuring) again(places []*family.Place) []*family.Place {
	var out []*family.Place
	for _, p := range places {
		if m.n.again[p.ID] {
			out = append(out, p)
		}
	}
	return out
}

// write is what the person wrote instead.
func (s *Wrote) write(value, in string) string {
	decimals := 0
	if i := strings.IndexByte(value, '.'); i >= 0 {
		decimals = len(value) - i - 1
	}
	if s.Swap && decimals >= 2 {
		b := []byte(value)
		k := len(b) - decimals
		b[k], b[k+1] = b[k+1], b[k]
		return string(b)
	}
	if s.Add.IsZero() {
		return value
	}
	x, err := unit.Parse(value, in, '.')
	if err != nil {
		panic("demo: own reading: " + err.Error())
	}
	return unit.Format(x.SI()+s.Add.SI(), in, decimals)
}

// read takes one reading.
func (m *measuring) read(p *family.Place, round int) job.ReadingV1 {
	r := job.ReadingV1{Position: p.ID, State: job.Found, Condition: p.Char.Condition}
	if p.Char.Quantity == family.Check {
		r.Value = "pass"
		if m.n.fail[p.ID] {
			r.Value = "fail"
		}
		r.Typed = r.Value
		return r
	}
	gauge, master := m.bench.pick(m.t, p, m.n.size[p.ID])
	m.take(gauge)
	s := sight{size: m.n.size[p.ID], gauge: gauge, master: master, partOf: m.l.Material(p),
		shownIn: p.Char.Unit,
		setting: m.setting(gauge, master),
		scatter: m.luck.normal("scatter", p.ID, strconv.Itoa(round))}
	if m.n.calm[p.ID] {
		s.scatter /= 10
	}
	var part, scale string
	s.part, part = m.warmth(p.Part, soakedPart)
	if c, ok := m.n.cold[p.ID]; ok {
		s.part = c + soakedPart*m.luck.normal("cold", p.Part)
		part = celsius(s.part + m.misread(p.Part+" cold"))
	}
	s.scale, scale = m.warmth("gauge "+gauge.ID, soakedGauge)
	r.Value = m.bench.shows(s)
	if positive(p) && strings.HasPrefix(r.Value, "-") {
		r.Value = strings.Map(zero, r.Value[1:])
	}
	r.Typed, r.Unit, r.Gauge = r.Value, p.Char.Unit, gauge.ID
	if gauge.kind.Set == "master" && master != nil {
		r.Master = master.ID
	}
	if p.Char.Dim() == unit.Length {
		r.PartTemp, r.GaugeTemp = part, scale
	}
	return r
}

// zero turns every digit into 0: nobody writes a run-out below nothing.
func zero(r rune) rune {
	if r == '.' {
		return r
	}
	return '0'
}

// setting is the draw of a comparator's setting: one a day on one master.
func (m *measuring) setting(gauge, master *tool) float64 {
	on := ""
	if master != nil {
		on = master.ID
	}
	return m.luck.normal("setting", strconv.Itoa(m.s.Day), gauge.ID, on)
}

// warmth is the true temperature of a thing that has lain in the room, and what
// the thermometer says of it.
func (m *measuring) warmth(what string, spread float64) (float64, string) {
	really := m.s.Room.SI() + spread*m.luck.normal("warmth", m.no, what)
	return really, celsius(really + m.misread(what))
}

func (m *measuring) misread(what string) float64 {
	return thermometerBias*m.luck.normal("thermometer") + thermometerRepeat*m.luck.normal("thermometer", m.no, what)
}

// take picks a gauge up; a gauge that has a master to be checked on is read on
// it the first time that this person uses it today.
func (m *measuring) take(g *tool) {
	if m.holding != g.ID {
		m.holding = g.ID
		m.pass(150)
	}
	if g.Checked.IsZero() || m.checked[g.ID] {
		return
	}
	m.checked[g.ID] = true
	x := g.Checked.SI() + g.bias + g.kind.Repeat.SI()*m.luck.normal("check", m.no, g.ID)
	step := g.kind.Resolution
	m.shop = append(m.shop, made(entry.ShopStream, m.luck, entry.MasterCheck, m.by(), m.now, shop.MasterCheckV1{
		Gauge: g.ID, Master: g.Master, True: g.Checked.Text, Read: written(x, step, g.Checked.Unit, g.Checked.Decimals()),
		Unit: g.Checked.Unit}, m.no, g.ID))
	m.pass(45)
}
