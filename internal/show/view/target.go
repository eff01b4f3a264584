package view

import (
	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
)

// Targets is the page of machining sizes.
type Targets struct {
	Frame
	Targets []Target
}

// Target is the machining size of one group.
type Target struct {
	Group    string
	Plate    Plate
	Why      string
	Step     string
	Size     string
	Allow    string
	Governs  Link
	Places   []TargetRow
	Has      bool // a step is named
	Walls    bool // the columns below hold anything
	Bridges  bool
	SizeHead string // largest bore or smallest journal
}

// TargetRow is one bore or journal of it.
type TargetRow struct {
	Part                Link
	Extreme             string
	At                  Link
	CleansUp            string
	Stock, Wall, Bridge string
	WallPlate           Plate
	BridgePlate         Plate
}

// TargetsPage makes the page of machining sizes.
func (c *Case) TargetsPage(r Reader) Targets {
	return Targets{Frame: c.frame(r, r.T("page.targets.title"), "targets", "", c.lastState("")), Targets: c.targets(r)}
}

func (c *Case) targets(r Reader) []Target {
	var out []Target
	for i := range c.Assessment.Targets {
		t := &c.Assessment.Targets[i]
		v := Target{Group: r.or("page.group."+t.Group, t.Group), Why: c.Say(r, &t.Why), Step: r.bound(t.Step, t.Unit), Size: r.bound(t.Size, t.Unit),
			Allow: r.bound(t.Allowance, t.Unit), Has: t.Step != "", SizeHead: r.T("page.targets.smallest")}
		if t.Group == "bore" {
			v.SizeHead = r.T("page.targets.largest")
		}
		if t.Governs != "" {
			v.Governs = Link{Href: AtHref(c.id(), t.Governs, ""), Text: c.Place(r, t.Governs)}
		}
		v.Plate = c.targetPlate(r, t)
		for _, p := range t.Places {
			row := TargetRow{Part: Link{Href: JobHref(c.id(), "part", componentOf(p.Part)), Text: c.spell(r, p)},
				At:       Link{Href: AtHref(c.id(), p.Position, ""), Text: c.Place(r, p.Position)},
				CleansUp: r.bound(p.CleansUp, t.Unit), Extreme: r.bound(p.Extreme, t.Unit), Stock: r.bound(p.Stock, t.Unit),
				Wall: r.bound(p.Wall, t.Unit), Bridge: r.bound(p.Bridge, t.Unit)}
			if p.WallOK != "" {
				row.WallPlate = r.plate(plot.Verdict(p.WallOK))
			}
			if p.BridgeOK != "" {
				row.BridgePlate = r.plate(plot.Verdict(p.BridgeOK))
			}
			v.Walls, v.Bridges = v.Walls || p.Wall != "", v.Bridges || p.Bridge != ""
			v.Places = append(v.Places, row)
		}
		out = append(out, v)
	}
	return out
}

// spell names the bore or journal of a row: its part, or its place where the
// part is the whole casting or shaft.
func (c *Case) spell(r Reader, p assess.TargetRow) string {
	comp := c.Layout.Component(componentOf(p.Part))
	if pl := c.place(p.Position); pl != nil && len(pl.Char.Per) > 0 && (comp == nil || len(comp.Per) == 0) {
		return c.where(r, pl.Char.Per[:1], pl.At[:1])
	}
	return c.Part(r, p.Part)
}

func (c *Case) targetPlate(r Reader, t *assess.Target) Plate {
	switch {
	case t.Beyond:
		return r.plate(plot.Reject)
	case t.Needed && t.Step != "":
		p := r.plate(plot.Rework)
		p.Word = r.T("page.rework."+t.Group, "size", r.bound(t.Size, t.Unit))
		return p
	case t.Needed:
		return r.plate(plot.Undecided)
	}
	return r.plate(plot.Accept)
}
