package draw

import (
	"math"
	"sort"

	"fettle/internal/show/plot"
)

// items sorts the marked components from top to foot and shares them out to
// both margins: what lies at an end of the engine goes to that side.
func (v *overview) items() {
	var all []item
	for i := range v.l.Family.Components {
		c := &v.l.Family.Components[i]
		if _, ok := v.marks[c.ID]; ok {
			to := v.where(c)
			if len(v.g.banks) == 2 {
				to = v.whereAcross(c, len(all)%2)
			}
			all = append(all, item{id: c.ID, to: to})
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].to.y < all[j].to.y })
	mid := v.mid
	most := (len(all) + 1) / 2
	for _, it := range all {
		switch {
		case it.to.x < mid-1 && len(v.left) < most:
			v.left = append(v.left, it)
		case it.to.x > mid+1 && len(v.right) < most:
			v.right = append(v.right, it)
		}
	}
	for _, it := range all {
		if math.Abs(it.to.x-mid) > 1 && (v.holds(v.left, it.id) || v.holds(v.right, it.id)) {
			continue
		}
		if len(v.left) <= len(v.right) {
			v.left = append(v.left, it)
		} else {
			v.right = append(v.right, it)
		}
	}
	for _, side := range [][]item{v.left, v.right} {
		sort.SliceStable(side, func(i, j int) bool { return side[i].to.y < side[j].to.y })
		for i := range side {
			side[i].tipY = side[i].to.y + side[i].to.dy*0.7*spreadOf(side, i)
		}
		sort.SliceStable(side, func(i, j int) bool { return side[i].tipY < side[j].tipY })
	}
}

func (v *overview) holds(side []item, id string) bool {
	for _, it := range side {
		if it.id == id {
			return true
		}
	}
	return false
}

// list draws one margin: a mark and the finished title for each component,
// with a line to its place that leaves the words first.
func (v *overview) list(items []item, side float64) {
	n, longest := len(items), 0.0
	room := v.margin - touch - 26
	for _, it := range items {
		longest = max(longest, plot.Width(plot.Fit(v.marks[it.id].margin(), plot.SizeSmall, plot.Regular, room), plot.SizeSmall, plot.Regular))
	}
	for i, it := range items {
		m := v.marks[it.id]
		y := v.h/2 + itemStep*(float64(i)-float64(n-1)/2)
		edgeX, anchor := touch/2+2, plot.Start
		if side > 0 {
			edgeX, anchor = v.w-touch/2-2, plot.End
		}
		text := plot.Fit(m.margin(), plot.SizeSmall, plot.Regular, room)
		wide := plot.Width(text, plot.SizeSmall, plot.Regular)
		p := plot.Pt(edgeX, y)
		// the tip lies inside the area, on the side the line comes from
		tip := v.at(it.to.x+side*it.to.dx*0.8, it.tipY)
		start := plot.Pt(edgeX-side*(touch/2+wide+8), y)
		v.c.Path(plot.Polyline(start, plot.Pt(edgeX-side*(touch/2+longest+14), y), tip), plot.Style{Stroke: plot.InkThin, Line: plot.Hair})
		v.c.Circle(tip, 1.6, plot.Style{Fill: plot.InkThin})
		v.c.Open(plot.Group{Class: "spot", Title: m.Title, Href: m.Href, Data: []plot.Datum{{Key: "component", Value: it.id}}})
		v.c.Rect(min(edgeX-touch/2, start.X), y-touch/2, touch+wide+8, touch, plot.Style{})
		if m.Armed {
			v.c.Circle(p, sign+3.2, plot.Style{Fill: plot.InkGround, Stroke: plot.InkAccent, Line: plot.Heavy})
		}
		plot.Sign(v.c, p, sign-0.4, m.Verdict)
		v.c.Text(plot.Pt(edgeX-side*(touch/2+3), y), plot.Text{S: text, Anchor: anchor, Base: plot.CapMiddle, Ink: plot.InkAccent})
		v.c.Close()
	}
}

// spreadOf sets the tips of items with one area apart, from −1 to 1.
func spreadOf(items []item, i int) float64 {
	lo, hi := i, i
	for lo > 0 && items[lo-1].to == items[i].to {
		lo--
	}
	for hi+1 < len(items) && items[hi+1].to == items[i].to {
		hi++
	}
	if hi == lo {
		return 0
	}
	return 2*float64(i-lo)/float64(hi-lo) - 1
}
