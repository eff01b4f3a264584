package draw

import (
	"math"
	"sort"
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// seat is a place on the drawing with the indices it stands for, such as
// cyl=3 and height=H2. The seat without indices stands for the whole part.
type seat struct {
	at   plot.Point
	keys []string
}

// seat claims a place. pairs are dimension, value, dimension, value. A place
// whose indices are claimed already keeps its first seat.
func (s *sheet) seat(at plot.Point, pairs ...string) {
	ks := keys(pairs)
	name := strings.Join(ks, "/")
	if s.taken[name] {
		return
	}
	s.taken[name] = true
	for _, k := range ks {
		s.named[k] = append(s.named[k], len(s.seats))
	}
	s.seats = append(s.seats, seat{at, ks})
}

func keys(pairs []string) []string {
	out := make([]string, 0, len(pairs)/2)
	for i := 0; i+1 < len(pairs); i += 2 {
		out = append(out, pairs[i]+"="+pairs[i+1])
	}
	return out
}

// where finds the seat of a position: all of the seat's indices are the
// position's own or linked to them, and as many as possible are. Own indices
// weigh more than linked ones; the first of equals is taken, and the seat of
// the whole part, the last, where there is none.
func (s *sheet) where(p *family.Place) int {
	weight := map[string]int{}
	for i, dim := range p.Char.Per {
		for other, to := range s.l.Dims[dim].Touch {
			for _, v := range to[p.At[i]] {
				weight[other+"="+v] = 1
			}
		}
	}
	for i, dim := range p.Char.Per {
		weight[dim+"="+p.At[i]] = 10
	}
	best, most := len(s.seats)-1, 0
	for k := range weight {
		for _, i := range s.named[k] {
			score := 0
			for _, own := range s.seats[i].keys {
				if weight[own] == 0 {
					score = -1000
				}
				score += weight[own]
			}
			if score > most || score == most && i < best {
				best, most = i, score
			}
		}
	}
	return best
}

// gravity orders verdicts so that what needs a person comes first.
func gravity(v plot.Verdict) int {
	switch v {
	case plot.Reject:
		return 4
	case plot.Rework:
		return 3
	case plot.Undecided:
		return 2
	case plot.Accept:
		return 0
	case plot.NoLimit:
		return -1
	}
	return 1
}

// place sits the marked positions in their seats.
func (s *sheet) place(marks Marks) []Spot {
	held := make([][]string, len(s.seats))
	for _, i := range s.places {
		p := &s.l.Places[i]
		if _, ok := marks[p.ID]; !ok {
			continue
		}
		k := s.where(p)
		held[k] = append(held[k], p.ID)
	}
	var out []Spot
	for i, ids := range held {
		if len(ids) == 0 {
			continue
		}
		sort.SliceStable(ids, func(a, b int) bool { return before(marks[ids[a]], marks[ids[b]]) })
		out = append(out, Spot{s.seats[i].at, ids})
	}
	s.part(out)
	return out
}

func before(a, b Mark) bool {
	if a.Armed != b.Armed {
		return a.Armed
	}
	return gravity(a.Verdict) > gravity(b.Verdict)
}

// part moves spots that would touch apart, as little as it can, and keeps
// them on the sheet.
func (s *sheet) part(spots []Spot) {
	const room = touch
	for range 200 {
		moved := false
		for i := range spots {
			a := &spots[i].At
			a.X = max(room/2, min(a.X, s.w-room/2))
			a.Y = max(room/2, min(a.Y, s.h-room/2))
			for j := i + 1; j < len(spots); j++ {
				b := &spots[j].At
				dx, dy := b.X-a.X, b.Y-a.Y
				if math.Abs(dx) >= room-0.01 || math.Abs(dy) >= room-0.01 {
					continue
				}
				moved = true
				if math.Abs(dx) >= math.Abs(dy) {
					push := (room - math.Abs(dx)) / 2
					a.X, b.X = a.X-math.Copysign(push, dx), b.X+math.Copysign(push, dx)
				} else {
					push := (room - math.Abs(dy)) / 2
					a.Y, b.Y = a.Y-math.Copysign(push, dy), b.Y+math.Copysign(push, dy)
				}
			}
		}
		if !moved {
			return
		}
	}
}

// spots draws the marks.
func (s *sheet) spots(marks Marks) {
	whole := s.seats[len(s.seats)-1].at
	for _, sp := range s.place(marks) {
		lead := marks[sp.Positions[0]]
		if math.Hypot(sp.At.X-whole.X, sp.At.Y-whole.Y) < 1 {
			s.c.Text(sp.At.Add(-13, 0), plot.Text{S: "(", Size: plot.SizeHead, Anchor: plot.Middle, Base: plot.CapMiddle, Ink: plot.InkThin})
			s.c.Text(sp.At.Add(13, 0), plot.Text{S: ")", Size: plot.SizeHead, Anchor: plot.Middle, Base: plot.CapMiddle, Ink: plot.InkThin})
		}
		var titles []string
		for _, id := range sp.Positions {
			if t := marks[id].Title; t != "" {
				titles = append(titles, t)
			} else {
				titles = append(titles, id)
			}
		}
		stamp(s.c, sp.At, lead, strings.Join(titles, "\n"), plot.Datum{Key: "position", Value: strings.Join(sp.Positions, " ")})
	}
}

// stamp draws one mark in the room a finger needs.
func stamp(c plot.Canvas, at plot.Point, m Mark, title string, data ...plot.Datum) {
	class := "spot"
	if m.Armed {
		class = "spot armed"
	}
	c.Open(plot.Group{Class: class, Title: title, Href: m.Href, Data: data})
	c.Rect(at.X-touch/2, at.Y-touch/2, touch, touch, plot.Style{})
	if m.Armed {
		c.Circle(at, sign+3.2, plot.Style{Fill: plot.InkGround, Stroke: plot.InkAccent, Line: plot.Heavy})
	}
	plot.Sign(c, at, sign-0.4, m.Verdict)
	c.Close()
}
