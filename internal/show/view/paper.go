package view

import (
	"net/url"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/know/family"
)

// PaperSheet is a sheet to be filled in by hand at the bench.
type PaperSheet struct {
	Title, Under string
	Head         []PaperField // written by hand
	Groups       []PaperGroup
	Code         string // what its QR code holds
	Version      string
	Foot         string
	Caution      string
}

// PaperField is a line to write on.
type PaperField struct{ Name string }

// PaperGroup is one characteristic with the places that share its limits.
type PaperGroup struct {
	Name, Limits, Gauge string
	Conditions          []string
	Rows                []PaperRow
}

// PaperRow is one place: boxes for whole digits and for decimals, or for a
// check.
type PaperRow struct {
	Where, ID, Unit string
	Whole, Decimals int
	Signed          bool
	Check           []string // pass, fail; empty for a number
}

// PaperVersion is the version that a sheet bears: the first letters of the
// digest of the family it was printed from.
func PaperVersion(l *family.Layout) string { return l.Digest[:min(8, len(l.Digest))] }

// PaperHref is where a sheet is typed in.
func PaperHref(job, component, version, state string) string {
	h := JobHref(job, "transcribe", component) + "?version=" + url.QueryEscape(version)
	if state != "" && state != "found" {
		h += "&state=" + url.QueryEscape(state)
	}
	return h
}

// Paper makes the sheet of a component: the places in the order given, those of
// derived values left out. base is the address of the site, "" where there is
// none.
func (c *Case) Paper(r Reader, component, state string, places []int, base string) (p PaperSheet, ok bool) {
	k := c.Layout.Component(component)
	if k == nil {
		return p, false
	}
	p = PaperSheet{Title: k.Name.In(r.Lang), Version: PaperVersion(c.Layout), Under: r.T("sheet.paper.under", "job", orLast(c.id(), "–"), "family", c.Layout.Family.Name.In(r.Lang),
		"state", r.State(orLast(state, "found")))}
	p.Code = base + PaperHref(c.id(), component, p.Version, state)
	p.Foot = r.T("sheet.paper.foot", "version", p.Version)
	for _, name := range []string{"person", "date", "time", "part-temp", "gauge-temp", "gauge", "master"} {
		p.Head = append(p.Head, PaperField{r.T("sheet.paper." + name)})
	}
	var last *PaperGroup
	key := ""
	for _, i := range places {
		at := &c.Layout.Places[i]
		if at.Char.Relation != "" {
			continue
		}
		limits := c.paperLimits(r, at)
		if k := at.Char.ID + "|" + limits; last == nil || k != key {
			p.Groups = append(p.Groups, c.paperGroup(r, at, limits))
			last, key = &p.Groups[len(p.Groups)-1], k
		}
		last.Rows = append(last.Rows, c.paperRow(r, at))
	}
	return p, len(p.Groups) > 0
}

func (c *Case) paperGroup(r Reader, at *family.Place, limits string) PaperGroup {
	ch := at.Char
	g := PaperGroup{Name: ch.Name.In(r.Lang), Limits: limits}
	var kinds []string
	for _, id := range ch.Gauges {
		if in, ok := c.Library.Instruments[id]; ok {
			kinds = append(kinds, in.Name.In(r.Lang))
		}
	}
	g.Gauge = strings.Join(kinds, ", ")
	for _, id := range ch.Condition {
		g.Conditions = append(g.Conditions, c.arg(r, "condition", id))
	}
	return g
}

// paperLimits says nominal and limits of a place, for new and for reuse.
func (c *Case) paperLimits(r Reader, at *family.Place) string {
	var out []string
	if n := at.Char.Nominal; !n.IsZero() {
		out = append(out, r.T("sheet.paper.nominal", "value", r.Text(n.String())))
	}
	for _, l := range []*family.Limit{at.New, at.Used} {
		if l == nil {
			continue
		}
		if s := r.between(l.Min.String(), l.Max.String(), at.Char.Unit, l.Must); s != "" {
			out = append(out, r.T("page.limit.line", "range", s, "for", r.or("page.limit."+l.For, l.For)))
		}
	}
	return strings.Join(out, "; ")
}

func (c *Case) paperRow(r Reader, at *family.Place) PaperRow {
	row := PaperRow{Where: c.where(r, at.Char.Per, at.At), ID: at.ID, Unit: at.Char.Unit, Decimals: at.Char.Decimals}
	if row.Where == "" {
		row.Where = at.Char.Name.In(r.Lang)
	}
	if at.Char.Quantity == family.Check {
		row.Check = []string{r.T("page.check.pass"), r.T("page.check.fail")}
		return row
	}
	if row.Unit == "1" {
		row.Unit = ""
	}
	row.Whole = 3
	largest := -1
	for _, q := range bounds(at) {
		if v, ok := q.In(at.Char.Unit); ok {
			whole, _, _ := strings.Cut(strings.TrimLeft(v.Text, "+-"), ".")
			largest = max(largest, len(whole))
			row.Signed = row.Signed || strings.HasPrefix(v.Text, "-")
		}
	}
	if largest > 0 {
		row.Whole = largest
	}
	return row
}

// bounds are the quantities that say how large a value of a place may be.
func bounds(at *family.Place) (out []unit.Quantity) {
	if !at.Char.Nominal.IsZero() {
		out = append(out, at.Char.Nominal)
	}
	for _, l := range []*family.Limit{at.New, at.Used} {
		if l != nil && !l.Min.IsZero() {
			out = append(out, l.Min)
		}
		if l != nil && !l.Max.IsZero() {
			out = append(out, l.Max)
		}
	}
	return out
}
