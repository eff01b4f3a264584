package offer

import (
	"slices"

	"fettle/internal/base/fault"
)

// network is the work of a route with what each step waits for.
type network struct {
	work   []step
	hands  int
	days   *calendar
	parts  []string
	arrive []float64 // minute, of each part
}

// step is one operation in one draw.
type step struct {
	after []int // indices of work
	needs []int // indices of parts
	tail  int   // most minutes of work from here to the end: what is started first
	touch float64
	alone float64
	days  int
	// after the draw
	begin, end float64
	hung       int // on which work, or -1-part, or the last to hold the hand
}

// nobody is what a step hangs on that began at once.
const nobody = 1 << 30

// network puts the work in order.
func (r *Route) network(hands int, days *calendar) (*network, error) {
	n := &network{work: make([]step, len(r.Work)), hands: hands, days: days, arrive: make([]float64, len(r.Parts))}
	at, part := map[string]int{}, map[string]int{}
	for i := range r.Work {
		if _, twice := at[r.Work[i].ID]; twice {
			return nil, fault.New(fault.Invalid, "offer.twice", "route", r.ID, "work", r.Work[i].ID)
		}
		at[r.Work[i].ID] = i
	}
	for i := range r.Parts {
		part[r.Parts[i].ID] = i
		n.parts = append(n.parts, r.Parts[i].ID)
	}
	for i := range r.Work {
		w := &r.Work[i]
		for _, id := range w.After {
			j, ok := at[id]
			if !ok || j >= i {
				return nil, fault.New(fault.Invalid, "offer.after", "route", r.ID, "work", w.ID, "after", id)
			}
			n.work[i].after = append(n.work[i].after, j)
		}
		for _, id := range w.Needs {
			j, ok := part[id]
			if !ok {
				return nil, fault.New(fault.Invalid, "offer.needs", "route", r.ID, "work", w.ID, "part", id)
			}
			n.work[i].needs = append(n.work[i].needs, j)
		}
	}
	for i := len(n.work) - 1; i >= 0; i-- {
		w := &r.Work[i]
		n.work[i].tail += w.Low + w.High + w.AloneLow + w.AloneHigh + int(days.minute)*(w.DaysLow+w.DaysHigh)
		for _, j := range n.work[i].after {
			n.work[j].tail = max(n.work[j].tail, n.work[i].tail)
		}
	}
	return n, nil
}

// run does the work once and returns the minute at which all is done and the
// step that was last. A hand takes, of all that could be begun, what has the most
// still hanging on it; nothing is broken off. Work that needs no hand begins as
// soon as it can.
//
// Shapes: drawn steps -> minute, index.
// Units:  minutes of work since the first day.
// Errors: none; the order of the work is checked when the network is made.
// Source: parallel schedule generation, as in J. E. Kelley, The critical-path
// method: resources planning and scheduling (1963), from memory.
func (n *network) run() (end float64, last int) {
	free := make([]float64, n.hands) // minute at which each hand is free
	holder := make([]int, n.hands)
	for i := range holder {
		holder[i] = nobody
	}
	done := make([]bool, len(n.work))
	last = nobody
	for range n.work {
		h := slices.Index(free, slices.Min(free))
		best, begin := -1, 0.0
		for i := range n.work {
			w := &n.work[i]
			if done[i] {
				continue
			}
			ready, hung, ok := n.ready(w, done)
			if !ok {
				continue
			}
			if w.touch > 0 && free[h] > ready {
				ready, hung = free[h], holder[h]
			}
			w.begin, w.hung = ready, hung
			if best < 0 || ready < begin-1e-9 || ready <= begin+1e-9 && w.tail > n.work[best].tail {
				best, begin = i, ready
			}
		}
		w := &n.work[best]
		w.end = n.days.away(w.begin+w.touch+w.alone, w.days)
		if w.touch > 0 {
			free[h], holder[h] = w.begin+w.touch, best
		}
		done[best] = true
		if w.end > end || last == nobody {
			end, last = w.end, best
		}
	}
	for j, a := range n.arrive { // what is bought and fitted by no step is waited for too
		if a > end {
			end, last = a, -1-j
		}
	}
	return end, last
}

// ready is when a step could begin and what held it back last.
func (n *network) ready(w *step, done []bool) (minute float64, hung int, ok bool) {
	hung = nobody
	for _, j := range w.after {
		if !done[j] {
			return 0, 0, false
		}
		if n.work[j].end > minute {
			minute, hung = n.work[j].end, j
		}
	}
	for _, j := range w.needs {
		if n.arrive[j] > minute {
			minute, hung = n.arrive[j], -1-j
		}
	}
	return minute, hung, true
}
