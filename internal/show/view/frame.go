package view

import (
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/show/plot"
)

// Frame is what every page has round its drawing.
type Frame struct {
	Lang, Theme string
	Title       string // of the window
	Heading     string // the one h1
	Under       string // one line under the heading
	Top         []Link // the shop's pages
	Sheets      []Link // the job's pages
	Job         string // id, "" outside a job
	Invented    bool   // nothing here is real
	Notice      string // what has just been stored
	Present     string // who is signed in; "" where forms ask who
	Bare        bool   // stands alone: nothing of the shop beside it
	Block       []plot.Field
}

// frame begins a page; path is its own address.
func (r Reader) frame(heading, path string) Frame {
	f := Frame{Lang: r.Lang, Theme: r.Theme, Heading: heading, Title: heading + " · fettle", Present: r.Signed}
	for _, l := range [][2]string{{"/", "page.nav.jobs"}, {"/gauges", "page.nav.gauges"}, {"/machines", "page.nav.machines"}, {"/shelf", "page.nav.shelf"}, {"/import", "page.nav.import"}, {"/legend", "page.nav.legend"},
		{"/cautions", "page.nav.cautions"}, {"/reader", "page.nav.reader"}, {"/devices", "page.nav.devices"}} {
		f.Top = append(f.Top, Link{l[0], r.T(l[1]), l[0] == path})
	}
	f.Block = []plot.Field{{Caption: r.T("page.block.sheet"), Text: heading}}
	return f
}

// frame begins a page of this job. sheet is the part of the address after the
// job; part and state say what the sheet is about.
func (c *Case) frame(r Reader, heading, sheet, part, state string) Frame {
	f := r.frame(heading, "")
	a := c.Assessment
	f.Job, f.Invented, f.Title = a.Job, a.Invented, heading+" · "+a.Job
	for _, l := range [][2]string{{"", "page.nav.engine"}, {"bench", "page.nav.bench"}, {"findings", "page.nav.findings"}, {"questions", "page.nav.questions"},
		{"targets", "page.nav.targets"}, {"consequences", "page.nav.consequences"}, {"plan", "page.nav.plan"}, {"options", "page.nav.options"}, {"work", "page.nav.work"}, {"parts", "page.nav.parts"}, {"money", "page.nav.money"}, {"causes", "page.nav.causes"}, {"running", "page.nav.running"}, {"intake", "page.nav.intake"}, {"log", "page.nav.log"}, {"record.pdf", "page.nav.record"}} {
		href := JobHref(a.Job)
		if l[0] != "" {
			href = JobHref(a.Job, l[0])
		}
		f.Sheets = append(f.Sheets, Link{href, r.T(l[1]), l[0] == sheet})
	}
	f.Block = c.Block(r, part, state, heading).Fields()
	return f
}

// Block is the title block of a sheet of this job.
func (c *Case) Block(r Reader, part, state, sheet string) plot.TitleBlock {
	a := c.Assessment
	who, temps, when := c.circumstances(r, part)
	field := func(key, text string) plot.Field {
		if text == "" {
			text = "–"
		}
		return plot.Field{Caption: r.T("page.block." + key), Text: text}
	}
	what := r.T("page.block.whole")
	if part != "" {
		what = c.Part(r, part)
	}
	return plot.TitleBlock{
		Job: field("job", a.Job+" · "+a.Title), Part: field("part", what),
		Family: field("family", c.Layout.Family.Name.In(r.Lang)), State: field("state", r.State(state)),
		MeasuredBy: field("by", who), Temperature: field("temperature", temps), When: field("when", when),
		Sheet: field("sheet", sheet), Head: field("head", c.Job.Head.Short()),
	}
}

// circumstances gathers who measured a part, at which temperatures and when.
func (c *Case) circumstances(r Reader, part string) (who, temps, when string) {
	var people []string
	seen := map[string]bool{}
	lo, hi := "", ""
	var first, last int64
	for i := range c.Job.Readings {
		rd := &c.Job.Readings[i]
		if !rd.Counts() || part != "" && !strings.HasPrefix(rd.Position+"/", part+"/") {
			continue
		}
		if p := c.person(rd.Person); p != "" && !seen[p] {
			seen[p] = true
			people = append(people, p)
		}
		if t := rd.PartTemp; decimal(t) {
			if lo == "" || less(t, lo) {
				lo = t
			}
			if hi == "" || less(hi, t) {
				hi = t
			}
		}
		if first == 0 || rd.Time < first {
			first = rd.Time
		}
		last = max(last, rd.Time)
	}
	if lo != "" {
		temps = r.With(lo, "°C")
		if hi != lo {
			temps = r.T("page.range", "from", r.Num(lo), "to", r.With(hi, "°C"))
		}
	}
	if first != 0 {
		when = r.Date(first)
		if d := r.Date(last); d != when {
			when = r.T("page.range", "from", when, "to", d)
		}
	}
	return strings.Join(people, ", "), temps, when
}

// less compares two canonical decimals by their text.
func less(a, b string) bool {
	am, bm := strings.HasPrefix(a, "-"), strings.HasPrefix(b, "-")
	if am != bm {
		return am
	}
	ai, af, _ := strings.Cut(strings.TrimLeft(a, "+-0"), ".")
	bi, bf, _ := strings.Cut(strings.TrimLeft(b, "+-0"), ".")
	out := af < bf
	if len(ai) != len(bi) {
		out = len(ai) < len(bi)
	} else if ai != bi {
		out = ai < bi
	}
	if am {
		return !out && a != b
	}
	return out
}

// states lists the states that a component has values in, in order.
func (c *Case) states(component string) []string {
	rank := map[string]int{}
	var out []string
	for _, s := range c.spots(component) {
		for _, v := range s.values {
			if _, ok := rank[v.State]; !ok {
				rank[v.State] = job.RankState(v.State)
				out = append(out, v.State)
			}
		}
	}
	for i := 1; i < len(out); i++ {
		for k := i; k > 0 && rank[out[k]] < rank[out[k-1]]; k-- {
			out[k], out[k-1] = out[k-1], out[k]
		}
	}
	return out
}
