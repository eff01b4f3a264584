package demo

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"

	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// Slip is one number that was written down wrong.
type Slip struct {
	Kind     string
	Position string
	Was, Is  unit.Quantity // what the gauge showed, what was written
	Other    string        // the position it was exchanged with, "" where none
	Key      string        // of the entry
}

// mostDraws is after how many readings that a kind of slip cannot strike it is
// given up and another kind drawn.
const mostDraws = 60

// Spoil writes as many readings of a job wrong as many says, each of another
// characteristic, so that no slip stands beside another. What is left of the job
// stays byte for byte. The same arguments give the same bytes.
func (x *SlipMix) Spoil(m Made, l *family.Layout, s *Shop, lib *library.Library, seed uint64, many int) (Made, []Slip) {
	w := slipping{mix: x, l: l, r: chance{seed, "slips"}.stream(m.Job[0].Stream), turns: map[string]unit.Quantity{},
		job: append([]entry.Entry(nil), m.Job...), at: map[string][]int{}, used: map[string]bool{}}
	for _, g := range s.Gauges {
		w.turns[g.ID] = lib.Instruments[g.Type].Turn
	}
	for i := range w.job {
		if w.job[i].Kind != entry.Reading {
			continue
		}
		r := w.reading(i)
		if at, ok := l.Find(r.Position); ok && l.Places[at].Char.Quantity != family.Check {
			if len(w.at[r.Position]) == 0 {
				w.names = append(w.names, r.Position)
			}
			w.at[r.Position] = append(w.at[r.Position], i)
		}
	}
	var out []Slip
	for draws := 0; len(out) < many && draws < many*mostDraws && len(w.names) > 0; {
		kind := x.kind(w.r)
		for range mostDraws {
			draws++
			if slip, ok := w.strike(kind); ok {
				out = append(out, slip)
				break
			}
		}
	}
	m.Job = w.job
	return m, out
}

// slipping is one job while readings are written wrong.
type slipping struct {
	mix   *SlipMix
	l     *family.Layout
	r     *rand.Rand
	job   []entry.Entry
	names []string                 // positions with a number
	at    map[string][]int         // position -> its readings in job
	used  map[string]bool          // characteristics with a slip
	turns map[string]unit.Quantity // gauge -> one turn of it
}

func (w *slipping) reading(i int) job.ReadingV1 {
	var r job.ReadingV1
	if err := json.Unmarshal(w.job[i].Payload, &r); err != nil {
		panic("demo: own entry: " + err.Error())
	}
	return r
}

func (w *slipping) write(i int, r job.ReadingV1, value, in string) {
	r.Value, r.Typed, r.Unit = value, value, in
	e := w.job[i]
	made, err := entry.New(e.Stream, e.Key, e.Kind, e.Person, e.Device, e.Time, r)
	if err != nil {
		panic("demo: a payload of text is always written: " + err.Error())
	}
	w.job[i] = made
}

// strike lets one kind of slip happen to one reading drawn at random.
func (w *slipping) strike(kind string) (Slip, bool) {
	name := w.names[w.r.IntN(len(w.names))]
	at, _ := w.l.Find(name)
	p := &w.l.Places[at]
	if w.used[p.Char.ID] {
		return Slip{}, false
	}
	i := w.at[name][w.r.IntN(len(w.at[name]))]
	r := w.reading(i)
	s := Slip{Kind: kind, Position: name, Key: w.job[i].Key.String()}
	switch kind {
	case "axis-exchanged", "neighbour-exchanged":
		s.Other = w.beside(p, kind)
		if len(w.at[s.Other]) == 0 {
			return s, false
		}
		k := w.at[s.Other][0]
		o := w.reading(k)
		if o.Value == r.Value || o.Unit != r.Unit {
			return s, false
		}
		w.write(i, r, o.Value, o.Unit)
		w.write(k, o, r.Value, r.Unit)
		s.Was, s.Is = quantityOf(r.Value, r.Unit), quantityOf(o.Value, o.Unit)
	default:
		value, in, ok := w.wrong(kind, &r, p)
		if !ok {
			return s, false
		}
		is, err := unit.Parse(value, in, '.')
		s.Was = quantityOf(r.Value, r.Unit)
		if err != nil || is.N == s.Was.N {
			return s, false
		}
		s.Is = is
		w.write(i, r, value, in)
	}
	w.used[p.Char.ID] = true
	return s, true
}

func quantityOf(value, in string) unit.Quantity {
	q, err := unit.Parse(value, in, '.')
	if err != nil {
		panic("demo: own reading: " + err.Error())
	}
	return q
}

// beside is the position whose reading is exchanged with that of p: the other
// axis at the same place, or the next one of the characteristic that differs in
// something else.
func (w *slipping) beside(p *family.Place, kind string) string {
	axis := -1
	for i, dim := range p.Char.Per {
		if dim == "axis" {
			axis = i
		}
	}
	if kind == "axis-exchanged" {
		if axis < 0 {
			return ""
		}
		for _, v := range w.l.Dims["axis"].Values {
			if v != p.At[axis] {
				return twin(p, map[string]string{"axis": v})
			}
		}
		return ""
	}
	places := w.l.Of(p.Char.ID)
	own := 0
	for i, k := range places {
		if w.l.Places[k].ID == p.ID {
			own = i
		}
	}
	for n := 1; n < len(places); n++ {
		q := &w.l.Places[places[(own+n)%len(places)]]
		if axis < 0 || q.At[axis] == p.At[axis] {
			return q.ID
		}
	}
	return ""
}

// wrong is what stands there instead of one reading; ok is false where this
// kind of slip cannot happen to it.
func (w *slipping) wrong(kind string, r *job.ReadingV1, p *family.Place) (value, in string, ok bool) {
	b := []byte(r.Value)
	in = r.Unit
	switch kind {
	case "digit-swapped":
		i := w.digit(b)
		b[i] = '0' + byte((int(b[i]-'0')+1+w.r.IntN(9))%10)
	case "transposed":
		i := w.digit(b)
		j := i + 1
		if j < len(b) && b[j] == '.' {
			j++
		}
		if j >= len(b) || b[i] == b[j] {
			return "", "", false
		}
		b[i], b[j] = b[j], b[i]
	case "doubled":
		i := w.digit(b)
		b = bytes.Join([][]byte{b[:i+1], b[i:]}, nil)
	case "dropped":
		i := w.digit(b)
		b = bytes.Join([][]byte{b[:i], b[i+1:]}, nil)
	case "mark-moved":
		b = w.moved(b)
	case "thimble-turn", "dial-turn":
		turn := w.turns[r.Gauge]
		if turn.IsZero() || (turn.SI() == 0.5e-3) != (kind == "thimble-turn") {
			return "", "", false
		}
		x := quantityOf(r.Value, in)
		off := turn.SI() * float64(1-2*w.r.IntN(2))
		if positive(p) && x.SI()+off < 0 {
			off = -off
		}
		return unit.Format(x.SI()+off, in, x.Decimals()), in, true
	case "wrong-unit":
		names := w.mix.Units[p.Char.Quantity]
		if len(names) == 0 {
			return "", "", false
		}
		in = names[w.r.IntN(len(names))]
		return r.Value, in, in != r.Unit
	default:
		return "", "", false
	}
	return string(b), in, b != nil
}

// digit draws the place of one digit.
func (w *slipping) digit(b []byte) int {
	for {
		if i := w.r.IntN(len(b)); b[i] >= '0' && b[i] <= '9' {
			return i
		}
	}
}

// moved loses the mark or moves it by one place; nil where that is no number.
func (w *slipping) moved(b []byte) []byte {
	i := bytes.IndexByte(b, '.')
	if i < 0 {
		return nil
	}
	bare := bytes.Join([][]byte{b[:i], b[i+1:]}, nil)
	k := len(bare)
	switch w.r.IntN(3) {
	case 0:
		k = i - 1
	case 1:
		k = i + 1
	}
	if k == len(bare) {
		return bare
	}
	return bytes.Join([][]byte{bare[:k], bare[k:]}, []byte{'.'})
}
