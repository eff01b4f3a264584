package view

import (
	"net/url"
	"sort"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/shop"
	"fettle/internal/facts/stock"
	"fettle/internal/judge/goods"
)

// OnShelf is a lot with its pieces as they were judged, and where those in use are.
type OnShelf struct {
	*shop.Lot
	Pieces []goods.Piece
	Used   map[int]InUse
	Free   int
}

// InUse is where a piece is used.
type InUse struct{ Job, Part string }

// ShelfHref is the address of the shelf, or of a lot.
func ShelfHref(lot string) string {
	if lot == "" {
		return "/shelf"
	}
	return "/shelf/" + url.PathEscape(lot)
}

// Shelf is the page of what lies on the shelf.
type Shelf struct {
	Frame
	Step     Step
	Kinds    []Choice // to look for
	Families []Choice
	Shown    []LotRow
	Asked    bool // not all are shown
	New      ShelfForms
	Faults   []ImportFault // of a file
	Offer    *ShelfOffer   // a file that was understood
}

// LotRow is one line of the shelf.
type LotRow struct {
	Link   Link
	Sort   string
	Small  string // class, half, step, size
	Family string
	Place  string
	Count  string
	Free   string
	Bad    []string // what keeps pieces from being used
	Used   []Link
	For    string // the job it is kept for, and whose it is
}

// ShelfForms are the choices of the forms.
type ShelfForms struct{ Kinds, Families, Roles, Suppliers, Measures, Gauges []Choice }

// ShelfOffer is a file as it was understood.
type ShelfOffer struct {
	Name, Text string // base64 of the file, carried to its confirmation
	Summary    []Fact
}

// ShelfPage makes the page; kind and family narrow it.
func (r Reader) ShelfPage(sh *shop.State, list []OnShelf, families []string, step Step, kind, family string) Shelf {
	v := Shelf{Frame: r.frame(r.T("page.shelf.title"), "/shelf"), Step: step, Asked: kind != "" || family != ""}
	pieces, free := 0, 0
	for i := range list {
		l := &list[i]
		pieces, free = pieces+l.Count, free+l.Free
		if kind != "" && l.Sort.Kind != kind || family != "" && l.Sort.Family != family {
			continue
		}
		v.Shown = append(v.Shown, r.lotRow(l))
	}
	v.Under = r.T("page.shelf.under", "lots", r.Int(len(list)), "pieces", r.Int(pieces), "free", r.Int(free))
	v.New = r.shelfForms(sh, families)
	v.Kinds, v.Families = pick(v.New.Kinds, kind), pick(v.New.Families, family)
	return v
}

func pick(list []Choice, value string) []Choice {
	out := make([]Choice, len(list))
	for i, c := range list {
		c.Chosen = c.Value == value
		out[i] = c
	}
	return out
}

func (r Reader) shelfForms(sh *shop.State, families []string) ShelfForms {
	any := Choice{Text: r.T("page.shelf.any")}
	f := ShelfForms{Kinds: []Choice{any}, Families: []Choice{any}, Suppliers: []Choice{any}, Gauges: []Choice{{Text: r.T("page.form.choose")}},
		Roles: []Choice{any, {Value: "upper", Text: r.T("page.shelf.upper")}, {Value: "lower", Text: r.T("page.shelf.lower")}}}
	for _, k := range stock.Kinds() {
		f.Kinds = append(f.Kinds, Choice{Value: k.ID, Text: r.PartKind(k.ID)})
	}
	for _, id := range families {
		f.Families = append(f.Families, Choice{Value: id, Text: id})
	}
	for _, id := range sh.SupplierIDs() {
		f.Suppliers = append(f.Suppliers, Choice{Value: id, Text: sh.Suppliers[id].Name})
	}
	for _, m := range stock.Measures() {
		f.Measures = append(f.Measures, Choice{Value: m, Text: r.Measure(m)})
	}
	ids := make([]string, 0, len(sh.Gauges))
	for id := range sh.Gauges {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	for _, id := range ids {
		f.Gauges = append(f.Gauges, Choice{Value: id, Text: id})
	}
	return f
}

// PartKind is the name of a kind of part.
func (r Reader) PartKind(id string) string { return r.or("page.part-kind."+id, id) }

// Measure is the name of a measure of a piece.
func (r Reader) Measure(id string) string { return r.or("page.measure."+id, id) }

// SortWords say which sort a part is of, without its kind.
func (r Reader) SortWords(s stock.SortV1) string {
	var out []string
	if s.Size != "" {
		out = append(out, r.length(s.Size))
	}
	if s.Class != "" {
		out = append(out, r.T("page.shelf.class", "class", s.Class))
	}
	if s.Role != "" {
		out = append(out, r.T("page.shelf."+s.Role))
	}
	if s.Step != "" {
		out = append(out, r.T("page.shelf.step", "step", r.length(s.Step)))
	}
	return strings.Join(out, ", ")
}

func (r Reader) length(text string) string {
	number, u, _ := strings.Cut(text, " ")
	return r.With(number, u)
}

func (r Reader) lotRow(l *OnShelf) LotRow {
	row := LotRow{Link: Link{Href: ShelfHref(l.LotV1.Lot), Text: l.LotV1.Lot}, Sort: r.PartKind(l.Sort.Kind), Small: r.SortWords(l.Sort), Family: l.Sort.Family, Place: l.Place,
		Count: r.Int(l.Count), Free: r.Int(l.Free)}
	tally := map[goods.Standing]int{}
	for i := range l.Pieces {
		tally[l.Pieces[i].Standing]++
	}
	for _, s := range []goods.Standing{goods.Unread, goods.Refused, goods.Gone} {
		if n := tally[s]; n > 0 {
			row.Bad = append(row.Bad, r.N("page.shelf."+string(s)+".n", n))
		}
	}
	seen := map[string]bool{}
	for n := 1; n <= l.Count; n++ {
		if u, ok := l.Used[n]; ok && !seen[u.Job] {
			seen[u.Job] = true
			row.Used = append(row.Used, Link{Href: JobHref(u.Job, "parts"), Text: u.Job})
		}
	}
	switch {
	case l.Customer:
		row.For = r.T("page.shelf.customers", "job", l.Job)
	case l.Job != "":
		row.For = r.T("page.shelf.kept", "job", l.Job)
	}
	return row
}

// Tell lists what is wrong in a file, each with its line.
func (v *Shelf) Tell(r Reader, faults fault.List) {
	for _, f := range faults {
		place := f.File
		if f.Line > 0 {
			place += ":" + strconv.Itoa(f.Line)
		}
		v.Faults = append(v.Faults, ImportFault{place, r.Book.Fault(f)})
	}
}

// Lot is the page of one lot.
type Lot struct {
	Frame
	Step   Step
	Back   Link
	Facts  []Fact
	Accept []string
	Pieces []PieceRow
	Prices []PriceRow
	Form   ShelfForms
	Lot    string
	Open   int      // the first piece that lacks a measure
	Lacks  string   // that measure
	Leave  []Choice // ways to leave the shelf
}

// PieceRow is one piece.
type PieceRow struct {
	N        string
	Sizes    []Fact
	Standing string
	Bad      bool
	Why      string
	Used     *Link
}

// PriceRow is what a supplier asks.
type PriceRow struct{ Supplier, Price, Days, Have string }

// LotPage makes the page of a lot; now is the time prices are asked for.
func (r Reader) LotPage(sh *shop.State, l OnShelf, step Step, now int64) Lot {
	v := Lot{Frame: r.frame(r.PartKind(l.Sort.Kind)+" "+l.LotV1.Lot, "/shelf"), Step: step, Back: Link{Href: ShelfHref(""), Text: r.T("page.shelf.title")}, Form: r.shelfForms(sh, nil), Lot: l.LotV1.Lot}
	row := r.lotRow(&l)
	v.Under = strings.Trim(row.Small+", "+r.T("page.shelf.of", "free", row.Free, "count", row.Count), ", ")
	fact := func(key, text string) {
		if text != "" {
			v.Facts = append(v.Facts, Fact{Name: r.T(key), Value: text})
		}
	}
	fact("page.shelf.family", l.Sort.Family)
	fact("page.shelf.place", l.Place)
	fact("page.shelf.supplier", sh.Suppliers[l.Supplier].Name)
	fact("page.shelf.for", row.For)
	fact("page.form.note", l.Note)
	for _, c := range l.Accept {
		v.Accept = append(v.Accept, r.Criterion(c))
	}
	for i := range l.Pieces {
		p := &l.Pieces[i]
		if len(p.Lacks) > 0 && v.Open == 0 {
			v.Open, v.Lacks = p.N, p.Lacks[0]
		}
		v.Pieces = append(v.Pieces, r.pieceRow(&l, p))
	}
	v.Form.Measures = nil
	for _, m := range goods.Needs(&l.LotV1) {
		v.Form.Measures = append(v.Form.Measures, Choice{m, r.Measure(m), m == v.Lacks})
	}
	for _, w := range shop.Leavings() {
		v.Leave = append(v.Leave, Choice{Value: w, Text: r.T("page.shelf." + w)})
	}
	for _, p := range sh.PricesAt(now) {
		if p.Sort.Item() != l.Sort.Item() {
			continue
		}
		have := "–"
		if p.Have != nil {
			have = r.Int(*p.Have)
		}
		v.Prices = append(v.Prices, PriceRow{sh.Suppliers[p.Supplier].Name, r.With(p.Amount.Number(), string(p.Amount.Currency())), r.leadDays(p.DaysLow, p.DaysHigh), have})
	}
	return v
}

func (r Reader) leadDays(low, high int) string {
	if low == high {
		return r.N("page.shelf.days", low)
	}
	return r.T("page.shelf.days.range", "low", r.Int(low), "high", r.Int(high))
}

// Criterion says what a piece must measure.
func (r Reader) Criterion(c stock.CriterionV1) string {
	switch {
	case c.Measure == stock.Seen:
		return r.Measure(c.Measure)
	case c.Min == "":
		return r.T("page.shelf.most", "measure", r.Measure(c.Measure), "max", r.With(c.Max, c.Unit))
	case c.Max == "":
		return r.T("page.shelf.least", "measure", r.Measure(c.Measure), "min", r.With(c.Min, c.Unit))
	}
	return r.T("page.shelf.between", "measure", r.Measure(c.Measure), "min", r.Num(c.Min), "max", r.With(c.Max, c.Unit))
}

func (r Reader) pieceRow(l *OnShelf, p *goods.Piece) PieceRow {
	row := PieceRow{N: strconv.Itoa(p.N), Standing: r.T("page.shelf." + string(p.Standing)), Bad: p.Standing == goods.Refused || p.Standing == goods.Gone}
	for _, s := range p.Sizes {
		value := r.pieceSize(s)
		if s.Measure != stock.Seen {
			value = r.T("page.shelf.read", "size", value, "read", r.With(s.Reading.Value, s.Reading.Unit), "gauge", s.Gauge)
		}
		row.Sizes = append(row.Sizes, Fact{Name: r.Measure(s.Measure), Value: value})
	}
	var why []string
	for _, m := range append(append([]string{}, p.Lacks...), p.Off...) {
		why = append(why, r.Measure(m))
	}
	row.Why = strings.Join(why, ", ")
	if left, gone := l.Left[p.N]; gone {
		row.Why = strings.Trim(r.T("page.shelf."+left.Why)+". "+left.Reason, " ")
	}
	if u, ok := l.Used[p.N]; ok {
		row.Standing = r.T("page.shelf.used")
		row.Used = &Link{Href: JobHref(u.Job, "parts"), Text: u.Job + " · " + u.Part}
	}
	return row
}

// pieceSize is a size at 20 °C with its expanded doubt, k = 2.
func (r Reader) pieceSize(s goods.Size) string {
	if s.Measure == stock.Seen {
		return r.T("page.shelf.seen." + s.Reading.Value)
	}
	u, small, d, e := "mm", "µm", 3, 1
	switch s.Reading.Quantity.Dim {
	case unit.Mass:
		u, small, d, e = "g", "g", 1, 2
	case unit.Force:
		u, small, d, e = "N", "N", 0, 1
	}
	return r.T("page.shelf.size", "size", r.With(unit.Format(s.Value, u, d), u), "doubt", r.With(unit.Format(s.Expanded(), small, e), small))
}

// ShelfStep is what forms of the shelf begin with.
func (r Reader) ShelfStep(sh *shop.State, key, person, post string) Step {
	c := &Case{Shop: sh}
	return Step{Post: post, Key: key, Mark: markName(r.Mark), People: c.people(r, person)}
}

// SortFields are the fields of a form that name a sort; P tells their labels apart.
type SortFields struct {
	F StepForm
	N ShelfForms
	P string
}

// Sort are those fields in a form of the shelf.
func (v Shelf) Sort(f StepForm, prefix string) SortFields { return SortFields{f, v.New, prefix} }

// Sort are those fields in a form of a job: its family is known.
func (v PartsPage) Sort(f StepForm, prefix string) SortFields {
	n := v.Forms
	n.Families = nil
	return SortFields{f, n, prefix}
}

// Freeing takes something back, by the key of its entry.
type Freeing struct {
	Step      Step
	Key, Text string
}

// Freeing is the form that takes something back.
func (s Step) Freeing(key, text string) Freeing { return Freeing{s, key, text} }
