package view

import (
	"slices"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/route"
	"fettle/internal/know/operation"
)

// Ticket is the route ticket of one stage of a job: from what to what, and what
// is read behind it.
type Ticket struct {
	Frame
	Stage string
	Steps []TicketStep
	Sheet string // address of it on paper
	Work  string
}

// TicketStep is one operation of it.
type TicketStep struct {
	Name, Word, Status string
	Places, Machine    string
	Takes, After       string
	Why                []string
	First, Check       string
	Hazard             string
	Cautions           []Link
	Cuts               []TicketCut
	Reads              []TicketRead // closing readings that it does not set
	State              string
}

// TicketCut is one characteristic that the operation sets.
type TicketCut struct {
	Name, Rule, Unit string
	Rows             []TicketRow
}

// TicketRow is one place of it.
type TicketRow struct {
	Where    string
	From, To string // the stretch it covers now; where it is to go, "" where the plan does not say yet
	Within   string
	Boxes    []TicketBox
}

// TicketBox is one reading to be taken behind the cut.
type TicketBox struct{ Label, Value, Href string }

// TicketRead is one more characteristic that closes the operation.
type TicketRead struct{ Name, Unit, Count string }

// TicketPage makes the ticket of a stage; ok is false where the job has no work
// there. Aims are those of the plan; without them the sizes of the machining
// groups stand, and what neither says is left to be written in.
func (c *Case) TicketPage(r Reader, stage string, aims []route.Aim) (v Ticket, ok bool) {
	board, _, err := c.board()
	if err != nil || !slices.Contains(operation.Stages(), operation.Stage(stage)) {
		return v, false
	}
	name := r.T("page.work.stage." + stage)
	v = Ticket{Frame: c.frame(r, r.T("page.ticket.title", "stage", name), "work", "", job.Found), Stage: name,
		Sheet: JobHref(c.id(), "ticket", stage, "sheet.pdf"), Work: JobHref(c.id(), "work")}
	v.Under = c.Assessment.Title
	for i := range board.Steps {
		if x := &board.Steps[i]; string(x.Stage) == stage {
			v.Steps = append(v.Steps, c.ticketStep(r, x, aims))
		}
	}
	return v, len(v.Steps) > 0
}

func (c *Case) ticketStep(r Reader, x *route.Step, aims []route.Aim) TicketStep {
	w := c.workStep(r, x)
	v := TicketStep{Name: w.Name, Word: w.Word, Status: w.Status, Places: w.Places, Machine: w.Machine, Takes: w.Takes, After: w.Needs, Why: w.Why,
		First: w.First, Check: w.Check, Hazard: w.Hazard, Cautions: w.Cautions, State: x.State}
	set := map[string]bool{}
	for _, s := range x.Sets {
		set[s.Characteristic] = true
		if cut := c.ticketCut(r, x, s, aims); len(cut.Rows) > 0 {
			v.Cuts = append(v.Cuts, cut)
		}
	}
	count := map[string]int{}
	var order []string
	for _, p := range route.Closing(c.Layout, c.Job, &x.Step) {
		if char := charOf(p); !set[char] {
			if count[char]++; count[char] == 1 {
				order = append(order, char)
			}
		}
	}
	for _, char := range order {
		ch := c.Layout.Places[c.Layout.Of(char)[0]].Char
		v.Reads = append(v.Reads, TicketRead{Name: ch.Name.In(r.Lang), Unit: ch.Unit, Count: r.Int(count[char])})
	}
	return v
}

func charOf(position string) string {
	s := strings.SplitN(position, "/", 3)
	return strings.Join(s[:min(2, len(s))], "/")
}

func (c *Case) ticketCut(r Reader, x *route.Step, s operation.Set, aims []route.Aim) TicketCut {
	places := c.Layout.Of(s.Characteristic)
	if len(places) == 0 {
		return TicketCut{}
	}
	ch := c.Layout.Places[places[0]].Char
	v := TicketCut{Name: ch.Name.In(r.Lang), Rule: r.T("page.ticket.rule." + string(s.Rule)), Unit: ch.Unit}
	at := map[string]int{}
	var from [][]*assess.Value
	for _, i := range places {
		p := &c.Layout.Places[i]
		if !x.Covers(c.Layout, ch.Per, p.At) {
			continue
		}
		key := ""
		if len(p.At) > 0 {
			key = p.At[0]
		}
		n, ok := at[key]
		if !ok {
			n = len(v.Rows)
			at[key] = n
			v.Rows = append(v.Rows, TicketRow{Where: c.where(r, ch.Per[:min(1, len(ch.Per))], p.At[:min(1, len(p.At))]), To: r.bound(route.To(c.Assessment, ch, key, s, aims), ch.Unit),
				Within: r.T("page.ticket.within", "within", r.With(unit.Format(s.Tolerance.SI(), ch.Unit, max(3, ch.Decimals)), ch.Unit))})
			from = append(from, nil)
		}
		box := TicketBox{Label: strings.Join(p.At[min(1, len(p.At)):], "/"), Href: AtHref(c.id(), p.ID, x.State)}
		if val, ok := c.Assessment.Find(p.ID, x.State); ok && val.Has {
			box.Value = c.Value(r, val)
		}
		v.Rows[n].Boxes = append(v.Rows[n].Boxes, box)
		if val, ok := c.before(p.ID, x.State); ok {
			from[n] = append(from[n], val)
		}
	}
	for i, vs := range from {
		v.Rows[i].From = c.spread(r, vs)
	}
	return v
}

// before is the value of a position in the last state before one; before a state
// that nobody has begun, the last there is.
func (c *Case) before(position, state string) (*assess.Value, bool) {
	var last *assess.Value
	turn := c.Job.Turn(state)
	for i := range c.Assessment.Values { // in the order of the states
		v := &c.Assessment.Values[i]
		if v.Position == position && v.Has && v.State != state && (turn == 0 || c.Job.Turn(v.State) < turn) {
			last = v
		}
	}
	return last, last != nil
}

// spread writes the stretch that some values cover.
func (c *Case) spread(r Reader, vs []*assess.Value) string {
	if len(vs) == 0 {
		return ""
	}
	lo, hi := vs[0], vs[0]
	for _, v := range vs {
		if v.SI < lo.SI {
			lo = v
		}
		if v.SI > hi.SI {
			hi = v
		}
	}
	if lo.Y == hi.Y {
		return c.Value(r, hi)
	}
	return r.T("page.range", "from", r.Num(lo.Y), "to", c.Value(r, hi))
}
