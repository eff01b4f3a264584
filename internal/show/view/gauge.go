package view

import (
	"net/url"
	"sort"
	"strconv"
	"time"

	"fettle/internal/base/unit"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/gauge"
	"fettle/internal/know/instrument"
	"fettle/internal/know/library"
	"fettle/internal/show/plot"
)

// Known is a gauge or master of the shop as it stands.
type Known struct {
	shop.GaugeV1
	Kind         instrument.Instrument
	Calibration  *shop.Calibration // in force; nil where there is none
	Overdue      bool
	Sessions     []gauge.Session // the last day of each master
	Twice        *gauge.Twice    // nil where no place of a part was read by two
	Calibrations []shop.Calibration
	Checks       []shop.Check
}

// Leaning is a job with the verdicts in it that leaned on a gauge.
type Leaning struct {
	Case  *Case
	Leans []gauge.Lean
}

// GaugeHref is the address of a gauge.
func GaugeHref(id string, more ...string) string {
	s := "/gauge/" + url.PathEscape(id)
	for _, m := range more {
		s += "/" + m
	}
	return s
}

// Gauges is the register.
type Gauges struct {
	Frame
	Groups []GaugeGroup
}

// GaugeGroup is the gauges or the masters.
type GaugeGroup struct {
	Name string
	Rows []GaugeRow
}

// GaugeRow is one line of the register.
type GaugeRow struct {
	Link   Link
	Type   string
	Serial string
	Date   string
	Due    string
	Late   bool
	Bias   []string // with expanded uncertainty at sizes
	File   string   // how the certificate's digest begins
	Href   string   // of the file
	Alert  string   // "" where the last check was as expected
}

// Gauges lists the register.
func (r Reader) Gauges(list []Known) Gauges {
	v := Gauges{Frame: r.frame(r.T("page.gauges.title"), "/gauges")}
	v.Under = r.N("page.gauges.under", len(list))
	late := 0
	groups := []GaugeGroup{{Name: r.T("page.gauges.gauges")}, {Name: r.T("page.gauges.masters")}}
	for i := range list {
		g := &list[i]
		row := r.gaugeRow(g)
		if row.Late {
			late++
		}
		at := 0
		if g.Kind.Master {
			at = 1
		}
		groups[at].Rows = append(groups[at].Rows, row)
	}
	for _, g := range groups {
		if len(g.Rows) > 0 {
			v.Groups = append(v.Groups, g)
		}
	}
	if late > 0 {
		v.Notice = r.N("page.gauges.late", late)
	}
	return v
}

// shownPoints is how many points of a curve stand in the register.
const shownPoints = 3

func (r Reader) gaugeRow(g *Known) GaugeRow {
	row := GaugeRow{Link: Link{Href: GaugeHref(g.Gauge), Text: g.Gauge}, Type: r.kind(g), Serial: g.Serial, Late: g.Overdue}
	c := g.Calibration
	if c == nil {
		row.Due = r.T("page.gauge.none")
	} else {
		row.Date, row.Due = r.Date(c.Date), r.due(c, g.Overdue)
		for i := range c.Points {
			if i == shownPoints {
				row.Bias = append(row.Bias, r.N("page.gauge.more", len(c.Points)-i))
				break
			}
			p := &c.Points[i]
			row.Bias = append(row.Bias, r.T("page.gauge.at", "at", r.quantity(p.At), "bias", r.With(plus(p.Bias.Text), p.Bias.Unit), "doubt", r.quantity(p.Expanded)))
		}
		if len(c.Points) == 0 {
			row.Bias = []string{r.T("page.gauge.whole", "bias", r.With(plus(c.Bias), c.Unit), "doubt", r.With(c.Expanded, c.Unit), "k", r.Num(c.Coverage))}
		}
		if c.File != "" {
			row.File, row.Href = c.File[:12], FileHref(c.File)
		}
	}
	for i := range g.Sessions {
		if n := len(g.Sessions[i].Alerts); n > 0 {
			row.Alert = r.N("page.gauge.alerts", n)
		}
	}
	return row
}

// FileHref is where a kept file is read.
func FileHref(digest string) string { return "/api/v1/files/" + digest }

func (r Reader) quantity(q unit.Quantity) string { return r.With(q.Text, q.Unit) }

func (r Reader) kind(g *Known) string {
	if g.Kind.ID == "" {
		return g.Type
	}
	return g.Kind.Name.In(r.Lang)
}

func (r Reader) due(c *shop.Calibration, overdue bool) string {
	switch {
	case c.Due == 0:
		return r.T("page.gauge.undated")
	case overdue:
		return r.T("page.gauge.overdue", "day", r.Date(c.Due))
	}
	return r.T("page.gauge.due", "day", r.Date(c.Due))
}

// Gauge is the page of one gauge.
type Gauge struct {
	Frame
	ID       string
	About    []Fact
	Late     string // in words, "" where it is in date
	None     bool   // no calibration at all
	History  []Calibrated
	Curve    Drawing
	Sessions []SessionView
	Twice    *TwiceView
	Checks   []CheckRow
	More     string
	Leaned   []LeanedJob
	Form     GaugeForm
	Post     string
	Offer    *OfferView // a calibration to be confirmed
	Undo     *UndoView  // an entry to be withdrawn
}

// Calibrated is one calibration of a gauge.
type Calibrated struct {
	Date, Due, Certificate, Whole string
	Points                        []Cal
	File, Href                    string
	InForce                       bool
	Withdraw                      string // address of the form, "" once it counts no more
	Void, Reason                  string // "" while it counts
}

// Cal is one point of a calibration.
type Cal struct{ At, Bias, Doubt string }

// SessionView is what the last day's checks on one master say.
type SessionView struct {
	Heading string
	Alerts  []string
	Hands   []HandRow
	Spread  []Fact // repeatability, persons, days, reproducibility
	Ranges  []Fact // the same by average and range
	NoRange string // why these are not there, "" where they are
	Method  string
	Why     string
}

// TwiceView is what two pairs of hands found on parts.
type TwiceView struct {
	Rows   []TwiceRow
	Repeat string // with how it was come by, "" where there are too few
}

// TwiceRow is two persons.
type TwiceRow struct{ A, B, Places, Diff, SU string }

// HandRow is a gauge in one person's hands.
type HandRow struct{ Person, Bias, SU, Shift, Off, Checks string }

// CheckRow is one check as it was read.
type CheckRow struct {
	When, Who, Master, True, Read string
	Withdraw                      string // address of the form, "" once it counts no more
	Void, Reason                  string // "" while it counts
}

// LeanedJob is a job with the values in it that leaned on the gauge.
type LeanedJob struct {
	Job   Link
	Count string
	Lines []Line
	More  string
}

// shownLeans is how many verdicts of a job stand on the page of a gauge;
// shownChecks how many checks.
const (
	shownLeans  = 12
	shownChecks = 12
)

// GaugePage makes the page of one gauge.
func (r Reader) GaugePage(lib *library.Library, sh *shop.State, g Known, leans []Leaning, form GaugeForm) Gauge {
	v := Gauge{Frame: r.frame(g.Gauge, ""), ID: g.Gauge, Form: form, Post: GaugeHref(g.Gauge)}
	v.Under = r.kind(&g)
	fact := func(key, text string) {
		if text != "" {
			v.About = append(v.About, Fact{r.T("page.gauge." + key), text})
		}
	}
	fact("serial", g.Serial)
	fact("usual", g.Master)
	fact("step", r.quantity(g.Kind.Resolution))
	fact("note", r.Text(g.Note))
	switch {
	case g.Calibration == nil:
		v.None = true
	case g.Overdue:
		v.Late = r.due(g.Calibration, true)
	}
	names := &Case{Shop: sh, Library: lib}
	for i := len(g.Calibrations) - 1; i >= 0; i-- {
		v.History = append(v.History, r.calibrated(names, &g.Calibrations[i], &g))
	}
	if g.Calibration != nil {
		v.Curve = r.curve(g.Calibration)
	}
	for i := range g.Sessions {
		v.Sessions = append(v.Sessions, r.session(names, &g.Sessions[i]))
	}
	if g.Twice != nil {
		v.Twice = r.twice(names, g.Twice)
	}
	for i := len(g.Checks) - 1; i >= 0; i-- {
		if len(v.Checks) == shownChecks {
			v.More = r.N("page.gauge.checks.more", i+1)
			break
		}
		c := &g.Checks[i]
		row := CheckRow{When: r.Day(c.Time), Who: names.person(c.Person), Master: c.Master, True: r.With(c.True, c.Unit), Read: r.With(c.Read, c.Unit)}
		row.Withdraw, row.Void, row.Reason = r.voided(names, g.Gauge, c.Key, c.Void)
		v.Checks = append(v.Checks, row)
	}
	for _, l := range leans {
		v.Leaned = append(v.Leaned, r.leaned(l))
	}
	v.Block = append(v.Block, plot.Field{Caption: r.T("page.gauge.serial"), Text: orDash(g.Serial)},
		plot.Field{Caption: r.T("page.block.head"), Text: sh.Head.Short()})
	return v
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// voided is where an entry about a gauge can be withdrawn, or how it was.
func (r Reader) voided(names *Case, id, key string, v *shop.Void) (href, how, reason string) {
	if v == nil {
		return GaugeHref(id, "withdraw", key), "", ""
	}
	return "", r.T("page.gauge.withdrawn", "who", names.person(v.Person), "when", r.Day(v.Time)), r.Text(v.Reason)
}

func (r Reader) calibrated(names *Case, c *shop.Calibration, g *Known) Calibrated {
	out := Calibrated{Date: r.Date(c.Date), Due: r.due(c, g.Overdue && g.Calibration != nil && g.Calibration.Key == c.Key), Certificate: c.Certificate,
		Whole:   r.T("page.gauge.whole", "bias", r.With(plus(c.Bias), c.Unit), "doubt", r.With(c.Expanded, c.Unit), "k", r.Num(c.Coverage)),
		InForce: g.Calibration != nil && g.Calibration.Key == c.Key}
	for i := range c.Points {
		p := &c.Points[i]
		out.Points = append(out.Points, Cal{r.quantity(p.At), r.With(plus(p.Bias.Text), p.Bias.Unit), "± " + r.quantity(p.Expanded)})
	}
	if c.File != "" {
		out.File, out.Href = c.File, FileHref(c.File)
	}
	out.Withdraw, out.Void, out.Reason = r.voided(names, g.Gauge, c.Key, c.Void)
	return out
}

// curve draws the bias over the range with its doubt as a band.
func (r Reader) curve(c *shop.Calibration) Drawing {
	if len(c.Points) < 2 {
		return ""
	}
	var s plot.Series
	var band plot.Band
	lo, hi := 0.0, 0.0
	first, last := &c.Points[0], &c.Points[len(c.Points)-1]
	for i := range c.Points {
		p := &c.Points[i]
		x, y, u := place(p.At), place(p.Bias), place(p.Expanded)
		s.Samples = append(s.Samples, plot.Sample{X: x, Y: y})
		band.X, band.Low, band.High = append(band.X, x), append(band.Low, y-u), append(band.High, y+u)
		lo, hi = min(lo, y-u), max(hi, y+u)
	}
	s.Label = r.T("page.gauge.curve.bias")
	room := 0.1 * (hi - lo)
	if room == 0 {
		room = 1
	}
	figure := func(v float64, decimals int) string { return plain(r.Num(strconv.FormatFloat(v, 'f', decimals, 64))) }
	x0, x1 := place(first.At), place(last.At)
	ch := plot.Chart{X: plot.Axis{Min: x0, Max: x1, Title: first.At.Unit, Ticks: plot.Ticks(x0, x1, 6, figure)},
		Y:      plot.Axis{Min: lo - room, Max: hi + room, Title: first.Bias.Unit, Ticks: plot.Ticks(lo-room, hi+room, 4, figure)},
		Series: []plot.Series{s}, Bands: []plot.Band{band}}
	const w, h = 680.0, 220.0
	return Drawing(plot.Inline(w, h, r.T("page.gauge.curve"), func(cv plot.Canvas) { ch.Draw(cv, plot.Point{}, w, h) }))
}

// place is a quantity on an axis in its own unit.
func place(q unit.Quantity) float64 { return unit.FromSI(q.SI(), q.Unit) }

func (r Reader) session(names *Case, s *gauge.Session) SessionView {
	u := gauge.SmallUnit(s.Unit)
	say := func(x float64) string { return r.With(unit.Format(x, u, 2), u) }
	signed := func(x float64) string { return r.With(plus(unit.Format(x, u, 2)), u) }
	day := r.Date(time.Unix(s.Day*86400, 0).UTC().UnixMicro())
	v := SessionView{Heading: r.T("page.gauge.session", "master", s.Master, "day", day), Method: r.T("gauge.method." + s.Method)}
	if s.Why != "" {
		v.Why = r.T(s.Why)
	}
	for _, a := range s.Alerts {
		what := s.Say(a)
		v.Alerts = append(v.Alerts, r.T(what.Key, "person", names.person(what.Args["person"]), "value", r.Text(what.Args["value"]), "doubt", r.Text(what.Args["doubt"])))
	}
	for _, h := range s.Hands {
		row := HandRow{Person: names.person(h.Person), Bias: signed(h.Bias), SU: say(h.SU), Shift: "–", Off: "–", Checks: r.Int(h.Checks)}
		if h.Days > 0 {
			row.Shift = signed(h.Shift)
		}
		if h.Known {
			row.Off = signed(h.Off)
		}
		v.Hands = append(v.Hands, row)
	}
	v.Spread = []Fact{{r.T("page.gauge.repeat"), say(s.Repeat)}}
	if s.Method != gauge.ByType {
		v.Spread = append(v.Spread, Fact{r.T("page.gauge.persons"), say(s.Persons)}, Fact{r.T("page.gauge.days"), say(s.Days)},
			Fact{r.T("page.gauge.reproduced"), say(s.Reproduced)})
	}
	if b := s.ByRange; b != nil {
		v.Ranges = []Fact{{r.T("page.gauge.repeat"), say(b.Repeat)}, {r.T("page.gauge.persons"), say(b.Persons)}, {r.T("page.gauge.days"), say(b.Days)},
			{r.T("page.gauge.reproduced"), say(b.Reproduced)}}
	} else {
		v.NoRange = r.T("page.gauge.ranges.none." + s.Method)
	}
	return v
}

func (r Reader) twice(names *Case, t *gauge.Twice) *TwiceView {
	u := gauge.SmallUnit(t.Unit)
	v := &TwiceView{}
	for _, p := range t.Pairs {
		row := TwiceRow{A: names.person(p.A), B: names.person(p.B), Places: r.Int(p.Places), Diff: r.With(plus(unit.Format(p.Diff, u, 2)), u), SU: "–"}
		if p.Places > 1 {
			row.SU = r.With(unit.Format(p.SU, u, 2), u)
		}
		v.Rows = append(v.Rows, row)
	}
	if t.Dof > 0 {
		v.Repeat = r.T("page.gauge.twice.one", "s", r.With(unit.Format(t.Repeat, u, 2), u), "dof", r.Int(t.Dof))
	}
	return v
}

// leaned lists the verdicts of a job that leaned on a gauge, the worst first,
// then those that lean most.
func (r Reader) leaned(l Leaning) LeanedJob {
	c := l.Case
	out := LeanedJob{Job: Link{Href: JobHref(c.id()), Text: c.id() + " · " + c.Assessment.Title}, Count: r.N("page.gauge.leaned", len(l.Leans))}
	list := append([]gauge.Lean(nil), l.Leans...)
	sort.SliceStable(list, func(i, j int) bool {
		if worse(list[i].Verdict) != worse(list[j].Verdict) {
			return worse(list[i].Verdict) > worse(list[j].Verdict)
		}
		return list[i].Part > list[j].Part
	})
	for i, x := range list {
		if i == shownLeans {
			out.More = r.N("page.gauge.leaned.more", len(list)-i)
			break
		}
		line := Line{Link: Link{Href: AtHref(c.id(), x.Position, x.State), Text: c.Place(r, x.Position)}, Plate: r.plate(plot.Verdict(x.Verdict)),
			Small: r.T("page.gauge.part", "part", r.With(percent(strconv.FormatFloat(x.Part, 'f', 2, 64)), "%"))}
		if v, ok := c.Assessment.Find(x.Position, x.State); ok {
			line.Plate = c.plate(r, v)
		}
		out.Lines = append(out.Lines, line)
	}
	return out
}

// GaugeForm is what the forms of a gauge's page hold.
type GaugeForm struct {
	Key, Mark, MarkName string
	Units               []Choice
	Masters             []Choice
	People              []Choice
	T                   GaugeTyped
	Faults              map[string]string
	Problems            []string
	Which               string // the form that the faults belong to: check, calibration, certificate
}

// GaugeTyped is what a person typed into one of them.
type GaugeTyped struct {
	Master, True, Read, Unit, Person                 string
	Date, Due, Bias, Expanded, Coverage, Certificate string
	BiasUnit                                         string
	Reason                                           string
	Result                                           string
}

// GaugeFormFor makes the forms of a gauge. faults are sentences by field, with
// "" for those of none.
func (r Reader) GaugeFormFor(lib *library.Library, sh *shop.State, g Known, key string, t GaugeTyped, which string, faults map[string][]string) GaugeForm {
	f := GaugeForm{Key: key, Mark: string(r.Mark), MarkName: r.T("page.mark." + markName(r.Mark)), T: t, Which: which, Faults: map[string]string{}}
	for field, list := range faults {
		if field == "" {
			f.Problems = list
			continue
		}
		for i, s := range list {
			if i > 0 {
				f.Faults[field] += " "
			}
			f.Faults[field] += s
		}
	}
	want := t.Unit
	if want == "" && g.Kind.Resolution.Dim == unit.Length {
		want = "mm"
	}
	for _, u := range unit.Names(g.Kind.Resolution.Dim) {
		f.Units = append(f.Units, Choice{u, u, u == want})
	}
	if f.T.BiasUnit == "" {
		f.T.BiasUnit = gauge.SmallUnit(g.Kind.Resolution.Unit)
	}
	if f.T.Coverage == "" && which == "" {
		f.T.Coverage = "2"
	}
	names := &Case{Shop: sh, Library: lib}
	chosen := t.Master
	if chosen == "" {
		chosen = g.Master
	}
	ids := make([]string, 0, len(sh.Gauges))
	for id, o := range sh.Gauges {
		if id != g.Gauge && lib.Instruments[o.Type].Quantity == g.Kind.Quantity && (lib.Instruments[o.Type].Master || id == chosen) {
			ids = append(ids, id)
		}
	}
	sort.Strings(ids)
	f.Masters = []Choice{{Text: r.T("page.form.choose"), Chosen: chosen == ""}}
	for _, id := range ids {
		f.Masters = append(f.Masters, Choice{id, names.gauge(r, id), id == chosen})
	}
	f.People = names.people(r, t.Person)
	return f
}

// OfferView is a calibration before it is stored: what it holds and what it
// changes.
type OfferView struct {
	Facts    []Fact
	Points   []Cal
	Remarks  []string
	Reopened []ReopenedJob
	Nothing  bool // no verdict and no value moves
	Carry    []Fact
	Post     string
	File     string // the file itself, so that nothing is kept here meanwhile
}

// ReopenedJob is a job in which a calibration moves values.
type ReopenedJob struct {
	Job   Link
	Moved string
	Lines []ChangeLine
	More  string
}

// ChangeLine is a verdict that becomes another.
type ChangeLine struct {
	Link          Link
	Before, After Plate
}

// Reopened makes the lines of one job.
func (r Reader) Reopened(c *Case, changes []gauge.Change, moved int) ReopenedJob {
	out := ReopenedJob{Job: Link{Href: JobHref(c.id()), Text: c.id() + " · " + c.Assessment.Title}, Moved: r.N("page.gauge.moved", moved)}
	for i, x := range changes {
		if i == shownLeans {
			out.More = r.N("page.gauge.leaned.more", len(changes)-i)
			break
		}
		out.Lines = append(out.Lines, ChangeLine{Link{Href: AtHref(c.id(), x.Position, x.State), Text: c.Place(r, x.Position)},
			r.plate(plot.Verdict(x.Before)), r.plate(plot.Verdict(x.After))})
	}
	return out
}

// Offered fills what an offer holds.
func (r Reader) Offered(c *shop.CalibratedV1, points []shop.PointV2, atUnit string, who []Fact, remarks []string) OfferView {
	o := OfferView{Facts: who, Remarks: remarks}
	due := r.T("page.gauge.undated")
	if c.Due != 0 {
		due = r.Date(c.Due)
	}
	o.Facts = append(o.Facts, Fact{r.T("page.gauge.date"), r.Date(c.Date)}, Fact{r.T("page.gauge.next"), due},
		Fact{r.T("page.gauge.range"), r.T("page.gauge.whole", "bias", r.With(plus(c.Bias), c.Unit), "doubt", r.With(c.Expanded, c.Unit), "k", r.Num(c.Coverage))})
	if c.Certificate != "" {
		o.Facts = append(o.Facts, Fact{r.T("page.gauge.paper"), c.Certificate})
	}
	for _, p := range points {
		o.Points = append(o.Points, Cal{r.With(p.At, atUnit), r.With(plus(p.Bias), c.Unit), "± " + r.With(p.Expanded, c.Unit)})
	}
	return o
}
