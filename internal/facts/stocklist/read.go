package stocklist

import (
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/facts/stock"
)

// The rows of a sheet.
const (
	Supplier = "supplier"
	Carriage = "carriage"
	Price    = "price"
	Lot      = "lot"
	Accept   = "accept"
	Piece    = "piece"
)

// Said is one entry that a sheet makes, with the line it stands on.
type Said struct {
	Line    int
	Kind    entry.Kind
	Payload any // SupplierV1, CarriageV1, PriceV1, LotV1, GoodsInV1 of shop
}

// sortColumns name a sort.
func sortColumns() []string { return []string{"kind", "family", "class", "role", "step", "size"} }

// columnsOf lists the columns that a row of a kind may fill.
func columnsOf(row string) []string {
	switch row {
	case Supplier:
		return []string{"supplier", "name", "note"}
	case Carriage:
		return []string{"supplier", "price"}
	case Price:
		return append(sortColumns(), "supplier", "price", "days_low", "days_high", "have", "number")
	case Lot:
		return append(sortColumns(), "lot", "count", "supplier", "job", "customers", "place", "note")
	case Accept:
		return []string{"lot", "measure", "min", "max", "unit"}
	case Piece:
		return []string{"lot", "piece", "measure", "value", "unit", "gauge", "master", "part_temp"}
	}
	return nil
}

// Read understands the rows of a sheet, all or nothing, and reports every fault
// with its line and column. Rows of pieces that stand together and were measured
// with one gauge at one temperature make one entry.
func Read(name string, rows []Row, mark byte) ([]Said, fault.List) {
	p := &reader{name: name, mark: mark, lots: map[string]int{}}
	for i := range rows {
		p.row = &rows[i]
		p.read()
	}
	if len(p.faults) > mostFaults {
		n := len(p.faults) - mostFaults
		p.faults = append(p.faults[:mostFaults:mostFaults], fault.New(fault.Invalid, "shelf.more", "count", strconv.Itoa(n)).At(name, rows[len(rows)-1].Line, 1))
	}
	if len(p.faults) > 0 {
		return nil, p.faults
	}
	return p.out, nil
}

type reader struct {
	name   string
	mark   byte
	row    *Row
	out    []Said
	lots   map[string]int // lot -> index in out
	faults fault.List
}

func (p *reader) is(column string) string { return strings.TrimSpace(p.row.Cells[column]) }

func (p *reader) put(column string, f *fault.Fault) {
	if p.row.Line > 0 {
		f = f.At(p.name, p.row.Line, 1)
	}
	p.faults = append(p.faults, f.In(column))
}

func (p *reader) say(column, key string, pairs ...string) {
	p.put(column, fault.New(fault.Invalid, key, pairs...))
}

// must is a column that has to be filled.
func (p *reader) must(column string) string {
	s := p.is(column)
	if s == "" {
		p.say(column, "shelf.missing", "column", column)
	}
	return s
}

// id is a column that names something.
func (p *reader) id(column string) string {
	s := p.must(column)
	ok := len(s) <= 64
	for _, c := range s {
		ok = ok && (c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.ContainsRune("-_.", c))
	}
	if !ok {
		p.say(column, "shelf.bad-id", "found", clip(s), "column", column)
	}
	return s
}

// count is a whole number of at least so many.
func (p *reader) count(column string, least, most int) int {
	s := p.must(column)
	if s == "" {
		return 0
	}
	n, err := strconv.Atoi(s)
	switch {
	case err != nil:
		p.say(column, "shelf.whole", "found", clip(s))
	case n < 0:
		p.say(column, "stock.below-nought", "found", s)
	case n < least || n > most:
		p.say(column, "shelf.range", "found", s, "least", strconv.Itoa(least), "most", strconv.Itoa(most))
	}
	return n
}

func (p *reader) read() {
	before := len(p.faults)
	row := p.is("row")
	allowed := columnsOf(row)
	if allowed == nil {
		p.say("row", "shelf.row", "found", clip(row))
		return
	}
	for _, c := range Columns() {
		if c != "row" && p.is(c) != "" && !slices.Contains(allowed, c) {
			p.say(c, "shelf.not-here", "row", row, "column", c)
		}
	}
	var kind entry.Kind
	var payload any
	switch row {
	case Supplier:
		kind, payload = entry.Supplier, shop.SupplierV1{Supplier: p.id("supplier"), Name: p.must("name"), Note: p.is("note")}
	case Carriage:
		kind, payload = entry.Carriage, shop.CarriageV1{Supplier: p.id("supplier"), Price: p.money()}
	case Price:
		kind, payload = entry.Price, p.price()
	case Lot:
		kind, payload = entry.Lot, p.lot()
	case Accept:
		p.accept(before)
		return
	case Piece:
		p.piece(before)
		return
	}
	if len(p.faults) > before {
		return
	}
	if l, ok := payload.(shop.LotV1); ok {
		p.lots[l.Lot] = len(p.out)
	}
	p.out = append(p.out, Said{p.row.Line, kind, payload})
}

// money reads a price; one without a currency is none.
func (p *reader) money() string {
	s := p.must("price")
	if s == "" {
		return ""
	}
	number, currency, _ := strings.Cut(s, " ")
	a, err := money.New(number, strings.TrimSpace(currency), p.mark)
	for _, f := range fault.All(err) {
		p.put("price", f)
	}
	if err == nil && a.Sign() < 0 {
		p.say("price", "stock.price-below-nought", "found", clip(s))
	}
	return a.String()
}

// sort reads which sort a row is about.
func (p *reader) sort() stock.SortV1 {
	s := stock.SortV1{Kind: p.must("kind"), Family: p.is("family"), Class: p.is("class"), Role: p.is("role"), Step: p.length("step"), Size: p.length("size")}
	if _, ok := stock.KindOf(s.Kind); !ok && s.Kind != "" {
		p.say("kind", "stock.no-kind", "found", clip(s.Kind))
	}
	if s.Role != "" && s.Role != "upper" && s.Role != "lower" {
		p.say("role", "stock.no-role", "found", clip(s.Role))
	}
	return s
}

// length reads a length above nought, written with its unit.
func (p *reader) length(column string) string {
	s := p.is(column)
	if s == "" {
		return ""
	}
	q, err := unit.Parse(s, "", p.mark)
	switch {
	case err != nil:
		for _, f := range fault.All(err) {
			p.put(column, f)
		}
	case q.Dim != unit.Length:
		p.say(column, "stock.no-length", "found", clip(s))
	case q.N <= 0:
		p.say(column, "stock.nought", "found", clip(s))
	}
	return strings.TrimSpace(q.Text + " " + q.Unit)
}

func (p *reader) price() shop.PriceV1 {
	v := shop.PriceV1{Supplier: p.id("supplier"), Sort: p.sort(), Price: p.money(), DaysLow: p.count("days_low", 0, 1000), Number: p.is("number")}
	v.DaysHigh = v.DaysLow
	if p.is("days_high") != "" {
		v.DaysHigh = p.count("days_high", 0, 1000)
	}
	if v.DaysHigh < v.DaysLow {
		p.say("days_high", "stock.days", "found", strconv.Itoa(v.DaysHigh), "least", strconv.Itoa(v.DaysLow))
	}
	if p.is("have") != "" {
		n := p.count("have", 0, 1_000_000)
		v.Have = &n
	}
	return v
}

func (p *reader) lot() shop.LotV1 {
	l := shop.LotV1{Lot: p.id("lot"), Sort: p.sort(), Count: p.count("count", 1, shop.MostPieces), Supplier: p.is("supplier"), Job: p.is("job"), Place: p.is("place"), Note: p.is("note")}
	switch p.is("customers") {
	case "", "no":
	case "yes":
		l.Customer = true
		if l.Job == "" {
			p.say("job", "stock.whose")
		}
	default:
		p.say("customers", "shelf.yes-no", "found", clip(p.is("customers")))
	}
	if _, twice := p.lots[l.Lot]; twice {
		p.say("lot", "stock.lot-twice", "found", l.Lot)
	}
	return l
}

// accept adds a criterion to a lot of the same sheet.
func (p *reader) accept(before int) {
	id := p.id("lot")
	c := stock.CriterionV1{Measure: p.measure(), Min: p.decimal("min"), Max: p.decimal("max"), Unit: p.is("unit")}
	if len(p.faults) > before {
		return
	}
	if _, _, ok := c.Limits(); !ok {
		p.say("measure", "stock.criterion")
	}
	i, ok := p.lots[id]
	if !ok {
		p.say("lot", "shelf.lot-first", "found", clip(id))
	}
	if len(p.faults) > before {
		return
	}
	l := p.out[i].Payload.(shop.LotV1)
	l.Accept = append(slices.Clip(l.Accept), c)
	p.out[i].Payload = l
}

func (p *reader) decimal(column string) string {
	s := p.is(column)
	if s == "" {
		return ""
	}
	q, err := unit.Parse(s, "1", p.mark)
	for _, f := range fault.All(err) {
		p.put(column, f)
	}
	return q.Text
}

func (p *reader) measure() string {
	m := p.must("measure")
	if m != "" && !slices.Contains(stock.Measures(), m) {
		p.say("measure", "stock.no-measure", "found", clip(m))
	}
	return m
}

// piece is one measure of one piece.
func (p *reader) piece(before int) {
	g := shop.GoodsInV1{Lot: p.id("lot"), Gauge: p.is("gauge"), Master: p.is("master")}
	v := shop.PieceReadingV1{Piece: p.count("piece", 1, shop.MostPieces), Measure: p.measure(), Typed: p.must("value")}
	if t := p.is("part_temp"); t != "" {
		q, err := unit.Parse(t, "°C", p.mark)
		for _, f := range fault.All(err) {
			p.put("part_temp", f)
		}
		g.PartTemp = q.Text
	}
	if len(p.faults) > before {
		return
	}
	if d, sized := stock.Dim(v.Measure); sized {
		q, err := unit.Parse(v.Typed, p.is("unit"), p.mark)
		switch {
		case err != nil:
			for _, f := range fault.All(err) {
				p.put("value", f)
			}
		case q.Dim != d:
			p.say("unit", "stock.unit", "found", q.Unit, "expected", strings.Join(unit.Names(d), ", "))
		case q.N <= 0:
			p.say("value", "stock.nought", "found", clip(v.Typed))
		}
		v.Value, v.Unit = q.Text, q.Unit
	} else if v.Value = v.Typed; v.Value != "pass" && v.Value != "fail" {
		p.say("value", "stock.pass-fail", "found", clip(v.Typed))
	}
	if i, ok := p.lots[g.Lot]; ok {
		if n := p.out[i].Payload.(shop.LotV1).Count; v.Piece > n {
			p.say("piece", "stock.no-piece", "found", strconv.Itoa(v.Piece), "lot", g.Lot, "most", strconv.Itoa(n))
		}
	}
	if len(p.faults) > before {
		return
	}
	if n := len(p.out); n > 0 {
		last, ok := p.out[n-1].Payload.(shop.GoodsInV1)
		if ok && last.Lot == g.Lot && last.Gauge == g.Gauge && last.Master == g.Master && last.PartTemp == g.PartTemp {
			last.Pieces = append(slices.Clip(last.Pieces), v)
			p.out[n-1].Payload = last
			return
		}
	}
	g.Pieces = []shop.PieceReadingV1{v}
	p.out = append(p.out, Said{p.row.Line, entry.GoodsIn, g})
}
