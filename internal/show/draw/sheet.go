package draw

import (
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// The room a finger needs about a mark, and the mark in it.
const (
	touch = 24.0
	sign  = 8.0
)

// full is the usual width of a drawing; longer engines make a wider one,
// which is scaled down as a whole.
const full = 760.0

// sheet is one drawing in the making.
type sheet struct {
	c      plot.Canvas
	l      *family.Layout
	e      *family.Engine
	g      geometry
	comp   *family.Component
	opt    Options
	places []int // positions of the component that may be marked
	seats  []seat
	taken  map[string]bool  // indices of the seats
	named  map[string][]int // seats by each of their indices
	w, h   float64
}

func newSheet(c plot.Canvas, l *family.Layout, component string, opt Options) *sheet {
	s := &sheet{c: c, l: l, e: &l.Family.Engine, g: measure(l), comp: l.Component(component), opt: opt, taken: map[string]bool{}, named: map[string][]int{}}
	for i := range l.Places {
		ch := l.Places[i].Char
		if ch.Component() == component && (len(opt.Only) == 0 || contains(opt.Only, ch.ID)) {
			s.places = append(s.places, i)
		}
	}
	return s
}

// view is a piece of a drawing with its size; draw puts its corner at a point
// and claims its seats.
type view struct {
	w, h float64
	draw func(at plot.Point)
}

// gap is the room between views.
const gap = 18.0

// lay draws the views of the component's drawing one under another, each in
// the middle of the sheet.
func (s *sheet) lay() {
	rows := s.views()
	s.w = full
	for _, v := range rows {
		s.w = max(s.w, v.w)
	}
	y := touch + 4
	for _, v := range rows {
		v.draw(plot.Pt((s.w-v.w)/2, y))
		y += v.h + gap
	}
	s.h = y - gap + 6
	s.seat(plot.Pt(s.w-touch, touch/2+2))
}

// views lists what a kind of drawing consists of.
func (s *sheet) views() []view {
	k := kind(s.comp)
	switch {
	case k == "face" && strings.Contains(s.comp.ID, "gasket"):
		return []view{s.plan()}
	case k == "bore" && s.comp.System == "bearings":
		return []view{s.shells()}
	case k == "crank" && !s.uses("main") && !s.uses("pin") && s.comp.ID != "crank":
		return []view{s.section()}
	}
	switch k {
	case "block":
		return s.withCamBearings(s.plan(), s.bores(), s.tunnel())
	case "bore":
		return []view{s.bores(), s.stroke()}
	case "crank":
		return []view{s.crank()}
	case "rod":
		return []view{s.rods()}
	case "piston":
		return []view{s.pistons()}
	case "face":
		return s.withCamBearings(s.face(true))
	case "valve":
		return []view{s.valve(), s.face(false)}
	case "cam":
		return s.cams()
	case "bolts":
		return s.bolts()
	case "chain":
		return []view{s.drive()}
	}
	return []view{s.section()}
}

// under puts views one below another.
func under(vs ...view) view {
	out := view{}
	for i, v := range vs {
		if i > 0 {
			out.h += gap
		}
		out.h += v.h
		out.w = max(out.w, v.w)
	}
	w := out.w
	out.draw = func(at plot.Point) {
		for _, v := range vs {
			v.draw(at.Add((w-v.w)/2, 0))
			at.Y += v.h + gap
		}
	}
	return out
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}
