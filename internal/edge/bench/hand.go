package bench

import (
	"context"
	"encoding/json"
	"slices"
	"sync"

	"fettle/internal/base/fault"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// The ways along a part.
const (
	WayHand  = "hand"  // one characteristic after the other, along the part: the gauge stays in the hand
	WayBack  = "back"  // the same from the other end
	WayPlace = "place" // all of one cylinder, journal or valve before the next
)

// Order is in which order a person measures a part.
type Order struct {
	Way   string   `json:"way,omitempty"`   // "" is WayHand
	First []string `json:"first,omitempty"` // characteristics that come before the others
}

// Stop is where a person stood last.
type Stop struct {
	Position string `json:"position"`
	Time     int64  `json:"time"` // the bench's clock, µs
}

// Hand is how a person likes to work, and where each of their jobs stands.
type Hand struct {
	Orders map[string]Order `json:"orders,omitempty"` // family + " " + component
	Stops  map[string]Stop  `json:"stops,omitempty"`  // job + " " + component
}

// hands are those that were asked for, by person.
type hands struct {
	mu   sync.Mutex
	list map[string]Hand
}

// mostStops bounds what is remembered of one person.
const mostStops = 400

// Hand is how a person likes to work.
func (b *Bench) Hand(person string) (Hand, error) {
	b.hands.mu.Lock()
	defer b.hands.mu.Unlock()
	return b.hand(person)
}

func (b *Bench) hand(person string) (Hand, error) {
	if h, ok := b.hands.list[person]; ok {
		return h, nil
	}
	text, err := b.store.Hand(person)
	if err != nil {
		return Hand{}, err
	}
	h := Hand{}
	if text != nil {
		_ = json.Unmarshal(text, &h) // a file that cannot be read is as none
	}
	if b.hands.list == nil || len(b.hands.list) > 500 {
		b.hands.list = map[string]Hand{}
	}
	b.hands.list[person] = h
	return h, nil
}

// putHand changes what is noted of a person; keep also writes it down.
func (b *Bench) putHand(person string, keep bool, change func(*Hand)) error {
	b.hands.mu.Lock()
	defer b.hands.mu.Unlock()
	old, err := b.hand(person)
	if err != nil {
		return err
	}
	h := Hand{Orders: map[string]Order{}, Stops: map[string]Stop{}}
	for k, v := range old.Orders {
		h.Orders[k] = v
	}
	for k, v := range old.Stops {
		h.Stops[k] = v
	}
	change(&h)
	if len(h.Stops) > mostStops {
		clear(h.Stops)
	}
	b.hands.list[person] = h
	if !keep {
		return nil
	}
	text, err := json.Marshal(h)
	if err != nil {
		return fault.New(fault.Broken, "fault.other", "error", err.Error())
	}
	return b.store.PutHand(person, text)
}

// Reorder notes in which order a person measures a part.
//
// Errors: faults at way and first.
func (b *Bench) Reorder(ctx context.Context, id, person, component string, o Order) error {
	j, err := b.Judge(ctx, id)
	if err != nil {
		return err
	}
	faults := personFaults(j.Shop, person)
	if j.Layout.Component(component) == nil {
		faults = append(faults, fault.New(fault.Missing, "bench.no-part", "found", component).In("component"))
	}
	switch o.Way {
	case "", WayHand, WayBack, WayPlace:
	default:
		faults = append(faults, fault.New(fault.Invalid, "bench.no-way", "found", o.Way).In("way"))
	}
	for _, c := range o.First {
		if len(j.Layout.Of(c)) == 0 {
			faults = append(faults, fault.New(fault.Invalid, "bench.no-characteristic", "found", c).In("first"))
		}
	}
	if err := faults.OrNil(); err != nil {
		return err
	}
	return b.putHand(person, true, func(h *Hand) { h.Orders[j.Layout.Family.ID+" "+component] = o })
}

// StopAt notes where a person stands on a part. keep writes it down; the place
// behind one's last entry is known from the log without.
func (b *Bench) StopAt(ctx context.Context, id, person, position string, keep bool) error {
	j, err := b.Judge(ctx, id)
	if err != nil {
		return err
	}
	at, ok := j.Layout.Find(position)
	if !ok {
		return fault.New(fault.Invalid, "bench.no-position", "found", position)
	}
	if faults := personFaults(j.Shop, person); len(faults) > 0 {
		return faults
	}
	comp := j.Layout.Places[at].Char.Component()
	return b.putHand(person, keep, func(h *Hand) { h.Stops[id+" "+comp] = Stop{position, b.now()} })
}

// Slots lists the positions of a part that are measured, in a person's order,
// and the one at which that person stopped: -1 where all is measured or none
// was begun.
func (b *Bench) Slots(j *Judged, component, person, state string) (places []int, order Order, at int, err error) {
	h, err := b.Hand(person)
	if err != nil {
		return nil, order, -1, err
	}
	order = h.Orders[j.Layout.Family.ID+" "+component]
	places = inOrder(j.Layout, component, order)
	comp := j.Layout.Component(component)
	if comp == nil || !j.Job.InScope(comp.System) {
		return nil, order, -1, nil
	}
	return places, order, resume(j, places, h.Stops[j.Assessment.Job+" "+component], person, state), nil
}

// inOrder sorts the measured positions of a part.
func inOrder(l *family.Layout, component string, o Order) []int {
	var out []int
	first := map[string]int{}
	for i, c := range o.First {
		first[c] = i - len(o.First)
	}
	rank := map[string]int{} // of a part of the component
	for i := range l.Places {
		p := &l.Places[i]
		if p.Char.Component() != component || p.Char.Relation != "" {
			continue
		}
		out = append(out, i)
		if _, ok := rank[p.Part]; !ok {
			rank[p.Part] = len(rank)
		}
	}
	lead := leading(l, component)
	slices.SortStableFunc(out, func(a, b int) int {
		p, q := &l.Places[a], &l.Places[b]
		if o.Way == WayPlace {
			if d := rank[p.Part] - rank[q.Part]; d != 0 {
				return d
			}
			if d := placeRank(l, lead, p) - placeRank(l, lead, q); d != 0 {
				return d
			}
		}
		if d := first[p.Char.ID] - first[q.Char.ID]; d != 0 {
			return d
		}
		if o.Way == WayBack && p.Char == q.Char {
			return b - a
		}
		return 0
	})
	return out
}

// leading is the dimension along a part: the first one of the most positions.
func leading(l *family.Layout, component string) string {
	n, best := map[string]int{}, ""
	for i := range l.Places {
		if c := l.Places[i].Char; c.Component() == component && c.Relation == "" && len(c.Per) > 0 {
			n[c.Per[0]]++
			if n[c.Per[0]] > n[best] {
				best = c.Per[0]
			}
		}
	}
	return best
}

// placeRank is where along the part a position lies; those that lie nowhere
// along it come last.
func placeRank(l *family.Layout, lead string, p *family.Place) int {
	d := l.Dims[lead]
	if d == nil {
		return 0
	}
	for i, name := range p.Char.Per {
		if name == lead {
			return slices.Index(d.Values, p.At[i])
		}
	}
	return len(d.Values)
}

// resume is where a person goes on: where they stood, unless their last entry
// on this part is younger; then at the first open position behind it. Who never
// was here begins at the first open position.
func resume(j *Judged, places []int, stop Stop, person, state string) int {
	index := make(map[string]int, len(places))
	for i, p := range places {
		index[j.Layout.Places[p].ID] = i
	}
	from, last := 0, int64(-1)
	for i := len(j.Job.Lines) - 1; i >= 0; i-- {
		l := &j.Job.Lines[i]
		if at, ok := index[l.About]; ok && l.Person == person {
			from, last = at+1, l.Time
			break
		}
	}
	if at, ok := index[stop.Position]; ok && stop.Time >= last {
		return at
	}
	done := map[string]bool{}
	for i := range j.Job.Readings {
		if r := &j.Job.Readings[i]; r.Counts() && r.State == state {
			done[r.Position] = true
		}
	}
	for k := range places {
		at := (from + k) % len(places)
		id := j.Layout.Places[places[at]].ID
		if _, left := j.Job.Left(id, state); !done[id] && !left {
			return at
		}
	}
	return -1
}

// Readings lists the readings of a position in a state, oldest first.
func (j *Judged) Readings(position, state string) []job.Reading {
	var out []job.Reading
	for i := range j.Job.Readings {
		if r := &j.Job.Readings[i]; r.Position == position && r.State == state {
			out = append(out, *r)
		}
	}
	return out
}
