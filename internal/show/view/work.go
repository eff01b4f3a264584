package view

import (
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/facts/job"
	"fettle/internal/judge/route"
	"fettle/internal/know/operation"
)

// Work is the page of the work on a job: its route, what runs, what it waits for.
type Work struct {
	Frame
	Step
	Broken   []string // why there is no route
	Empty    bool     // nothing asks for work
	Findings string
	Ticket   []Link // route tickets
	Totals   []Fact
	Waits    []WaitLine
	Running  []SpanLine
	Stages   []WorkStage
	Goods    []GoodsLine
	Stale    []StaleLine
	Others   []Choice // operations that the route does not have
}

// WaitLine is one thing that a job may wait for.
type WaitLine struct {
	For, Name, Since, Text, Total string
	On                            bool
	Act                           string
}

// WorkStage is the steps of one part of a job.
type WorkStage struct {
	ID, Name string
	Steps    []WorkStep
}

// WorkStep is one operation of the route.
type WorkStep struct {
	ID, Name, Places string
	Status, Word     string
	Why              []string
	Takes, Spent     string
	Who, Machine     string
	Needs            string // what comes before it
	Lacks            []string
	Check, First     string
	Hazard           string
	Cautions         []Link
	Open             []Link // still to be read, the first few
	More, Count      string
	Stale            string
	Spans            []SpanLine
	Start, Finish    string // acts of its forms; "" where there is none
	Again            bool   // it was done before
	Now              bool   // somebody is at it
	Source           string
}

// SpanLine is a person at an operation.
type SpanLine struct {
	Key, Act, Who, Since, Operation, Name string
}

// GoodsLine is parts that the route brings.
type GoodsLine struct {
	Name, Count string
	Why         []string
}

// StaleLine is readings that an operation made worth nothing.
type StaleLine struct {
	Operation, Name, Count string
	Places                 []Link
	More                   string
}

// shownClosing is how many places of a closing reading a step names.
const shownClosing = 4

// board makes the route of the job as it stood at its last entry.
func (c *Case) board() (route.Board, operation.Route, error) {
	cat := c.Library.Operations()
	way, err := route.Of(cat, c.Layout, c.Assessment, c.Job)
	if err != nil {
		return route.Board{}, way, err
	}
	return route.Make(route.In{Catalogue: cat, Layout: c.Layout, Job: c.Job, Shop: c.Shop, Route: way, At: c.Job.Last}), way, nil
}

// WorkPage makes the page.
func (c *Case) WorkPage(r Reader, s Step) Work {
	v := Work{Frame: c.frame(r, r.T("page.work.title"), "work", "", job.Found), Step: s, Findings: JobHref(c.id(), "findings")}
	v.Under = c.Assessment.Title
	board, way, err := c.board()
	if err != nil {
		for _, f := range fault.All(err) {
			v.Broken = append(v.Broken, r.Book.Fault(f))
		}
		return v
	}
	v.Empty = len(board.Steps) == 0
	c.waits(r, &v, &board)
	for _, stage := range operation.Stages() {
		g := WorkStage{ID: string(stage), Name: r.T("page.work.stage." + string(stage))}
		for i := range board.Steps {
			if x := &board.Steps[i]; x.Stage == stage {
				g.Steps = append(g.Steps, c.workStep(r, x))
			}
		}
		if len(g.Steps) > 0 {
			v.Stages = append(v.Stages, g)
			v.Ticket = append(v.Ticket, Link{Href: JobHref(c.id(), "ticket", string(stage)), Text: g.Name})
		}
	}
	for _, g := range v.Stages {
		for _, x := range g.Steps {
			v.Running = append(v.Running, x.Spans...)
		}
	}
	c.goods(r, &v, &way)
	c.stale(r, &v, &board)
	for i := range c.Library.Operations().Operations {
		o := &c.Library.Operations().Operations[i]
		if o.On(c.Layout) && way.Step(o.ID) == nil {
			v.Others = append(v.Others, Choice{o.ID, o.Name.In(r.Lang), s.Was("start-other", "operation") == o.ID})
		}
	}
	return v
}

func (c *Case) waits(r Reader, v *Work, b *route.Board) {
	for _, what := range job.WaitsFor() {
		w := WaitLine{For: what, Name: r.T("page.work.wait." + what), Act: "wait-" + what}
		if d := b.Waited[what]; d > 0 {
			w.Total = r.hours(d)
		}
		if x := c.Job.Waiting(what); x != nil {
			w.On, w.Text = true, x.Text
			w.Since = r.T("page.work.since", "when", r.Day(x.Time), "who", c.person(x.Person))
		}
		v.Waits = append(v.Waits, w)
	}
	var low, high time.Duration
	done := 0
	for i := range b.Steps {
		low, high = low+b.Steps[i].Hours.Low, high+b.Steps[i].Hours.High
		if b.Steps[i].Status == route.Done {
			done++
		}
	}
	v.Totals = []Fact{{r.T("page.work.done"), r.T("page.work.of", "n", r.Int(done), "m", r.Int(len(b.Steps)))},
		{r.T("page.work.takes"), r.T("page.range", "from", r.hours(low), "to", r.hours(high))},
		{r.T("page.work.spent"), r.hours(b.Spent)}, {r.T("page.work.stood"), r.hours(b.Stood)}}
}

// hours writes a length of time as hours with one decimal.
func (r Reader) hours(d time.Duration) string {
	return r.With(strconv.FormatFloat(d.Hours(), 'f', 1, 64), "h")
}

func (c *Case) workStep(r Reader, x *route.Step) WorkStep {
	o := x.Operation
	v := WorkStep{ID: o.ID, Name: o.Name.In(r.Lang), Status: string(x.Status), Word: r.T("page.work.status." + string(x.Status)), Places: c.stepPlaces(r, x),
		Takes: r.T("page.range", "from", r.hours(x.Hours.Low), "to", r.hours(x.Hours.High)), Machine: c.machine(r, o.Machine),
		Check: o.Check.In(r.Lang), First: o.First.In(r.Lang), Hazard: o.Hazard.In(r.Lang), Source: c.status(r, string(o.Status)), Again: c.Job.Done(o.ID) != nil}
	for _, reason := range x.Reasons {
		v.Why = append(v.Why, c.workWhy(r, reason))
	}
	if x.Spent.Hours > 0 {
		v.Spent = r.hours(x.Spent.Hours)
	}
	var who []string
	for _, p := range x.Spent.People {
		who = append(who, c.person(p))
	}
	v.Who = strings.Join(who, ", ")
	var before []string
	for _, id := range x.Before {
		before = append(before, c.operation(r, id))
	}
	v.Needs = strings.Join(before, ", ")
	for _, l := range x.Lacks {
		if l.Fixture != "" {
			v.Lacks = append(v.Lacks, r.T("page.work.no-fixture", "fixture", c.fixture(r, l.Fixture), "family", c.Layout.Family.Name.In(r.Lang)))
		} else {
			v.Lacks = append(v.Lacks, r.T("page.work.no-machine", "machine", c.machine(r, l.Machine)))
		}
	}
	if x.Outside {
		v.Machine = r.T("page.work.outside", "low", r.Int(o.Outside.Low), "high", r.Int(o.Outside.High))
	}
	for _, id := range o.Cautions {
		v.Cautions = append(v.Cautions, c.cautionLink(r, id))
	}
	c.closingOf(r, x, &v)
	for _, s := range x.Spent.Running {
		v.Spans = append(v.Spans, SpanLine{Key: s.Key, Act: "stop-" + s.Key, Who: c.person(s.Person), Since: r.Day(s.Time), Operation: o.ID, Name: v.Name})
	}
	v.Now = x.Status == route.Running || x.Status == route.Begun
	if len(x.Lacks) == 0 && !x.Outside && (x.Status != route.Done || v.Again) {
		v.Start = "start-" + o.ID
	}
	if x.Status == route.Running || x.Status == route.Begun || x.Outside && x.Status != route.Done {
		v.Finish = "done-" + o.ID
	}
	return v
}

func (c *Case) closingOf(r Reader, x *route.Step, v *WorkStep) {
	if x.Of > 0 {
		v.Count = r.T("page.work.of", "n", r.Int(x.Of-len(x.Open)), "m", r.Int(x.Of))
	}
	if x.Status == route.Done {
		return
	}
	for i, p := range x.Open {
		if i == shownClosing {
			v.More = r.N("page.strip.more", len(x.Open)-shownClosing)
			break
		}
		v.Open = append(v.Open, Link{Href: AtHref(c.id(), p, x.State), Text: c.Place(r, p)})
	}
	if len(x.Stale) > 0 {
		v.Stale = r.N("page.work.reopened", len(x.Stale), "operation", c.operation(r, x.Stale[0].By))
	}
}

// stepPlaces names the places of a step, "" where it works on all there are.
func (c *Case) stepPlaces(r Reader, x *route.Step) string {
	dims := x.Dims(c.Layout)
	if len(x.Places) == 0 || len(x.Places) == len(x.Operation.Places(c.Layout)) {
		return ""
	}
	var out []string
	for i, p := range x.Places {
		if i == 8 {
			out = append(out, "…")
			break
		}
		out = append(out, c.where(r, dims, strings.Split(p, "/")))
	}
	return strings.Join(out, "; ")
}

func (c *Case) workWhy(r Reader, why operation.Reason) string {
	switch why.Why {
	case operation.Brought:
		return r.T("page.work.why.brought", "operation", c.operation(r, why.By), "why", why.Say.In(r.Lang))
	case operation.Needed:
		return r.T("page.work.why.needed", "operation", c.operation(r, why.By))
	}
	if group, ok := strings.CutPrefix(why.By, "target/"); ok {
		return r.T("page.work.why.target", "group", r.or("page.group."+group, group))
	}
	if why.By == "" {
		return r.T("page.work.why.begun")
	}
	for i := range c.Assessment.Findings {
		if f := &c.Assessment.Findings[i]; FindingRef(f) == why.By {
			return r.T("page.work.why.finding", "finding", c.findingTitle(r, f))
		}
	}
	return r.T("page.work.why.finding", "finding", why.By)
}

func (c *Case) goods(r Reader, v *Work, way *operation.Route) {
	for _, n := range way.Needs {
		g, _ := c.Library.Operations().Part(n.Goods)
		line := GoodsLine{Name: g.Name.In(r.Lang), Count: r.Int(len(n.Parts))}
		for _, why := range n.Reasons {
			line.Why = append(line.Why, c.workWhy(r, why))
		}
		v.Goods = append(v.Goods, line)
	}
}

// stale groups what must be read again by the operation that made it so.
func (c *Case) stale(r Reader, v *Work, b *route.Board) {
	at := map[string]int{}
	count := map[string]int{}
	for _, x := range b.Stale {
		i, ok := at[x.By]
		if !ok {
			i = len(v.Stale)
			at[x.By] = i
			v.Stale = append(v.Stale, StaleLine{Operation: x.By, Name: c.operation(r, x.By)})
		}
		if count[x.By]++; count[x.By] <= shownClosing {
			v.Stale[i].Places = append(v.Stale[i].Places, Link{Href: AtHref(c.id(), x.Position, x.State), Text: c.Place(r, x.Position)})
		}
	}
	for i := range v.Stale {
		n := count[v.Stale[i].Operation]
		v.Stale[i].Count = r.Int(n)
		if n > shownClosing {
			v.Stale[i].More = r.N("page.strip.more", n-shownClosing)
		}
	}
}

// operation names an operation, and its run where it is not the first.
func (c *Case) operation(r Reader, id string) string {
	if o := c.Library.Operations().Operation(id); o != nil {
		return o.Name.In(r.Lang)
	}
	return id
}

func (c *Case) machine(r Reader, id string) string {
	if m, ok := c.Library.Operations().Machine(id); ok {
		return m.Name.In(r.Lang)
	}
	return id
}

func (c *Case) fixture(r Reader, id string) string {
	if m, ok := c.Library.Operations().Fixture(id); ok {
		return m.Name.In(r.Lang)
	}
	return id
}
