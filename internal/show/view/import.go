package view

import (
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/facts/readings"
)

// Import is the page on which a file of readings is taken in: chosen, then
// previewed, then confirmed.
type Import struct {
	Frame
	Jobs     []Choice
	Text     string // the file itself, carried from the preview to its confirmation
	Name     string
	Rows     []ImportRow
	Summary  []Fact
	Faults   []ImportFault
	Previews bool // the file was understood
	Stored   string
	Job      string
	JobHref  string
	More     string
}

// ImportRow is one reading as it was understood.
type ImportRow struct{ Line, Position, Place, State, Value, Gauge, Who, When string }

// ImportFault is one problem at its place in the file.
type ImportFault struct{ Place, Sentence string }

// ImportPage begins the page.
func (r Reader) ImportPage(jobs []Entered, chosen string) Import {
	v := Import{Frame: r.frame(r.T("page.import.title"), "/import"), Job: chosen}
	v.Under = r.T("page.import.under")
	for _, j := range jobs {
		v.Jobs = append(v.Jobs, Choice{j.Job, j.Job + " · " + j.Title, j.Job == chosen})
	}
	return v
}

// shownRows is how many readings a preview lists.
const shownRows = 60

// Show previews a file as it was understood.
func (v *Import) Show(r Reader, c *Case, s readings.Sheet, name, text string) {
	v.Previews, v.Name, v.Text = true, name, text
	v.Summary = []Fact{{r.T("page.shop.job"), c.Assessment.Job + " · " + c.Assessment.Title}, {r.T("page.import.file"), name},
		{r.T("page.import.readings"), r.Int(len(s.Readings))}, {r.T("page.import.mark"), r.T("page.mark." + s.Decimal)},
		{r.T("page.import.delimiter"), r.T("page.import.delimiter." + s.Delimiter)}, {r.T("page.import.people"), r.Int(len(s.People))},
		{r.T("page.import.gauges"), r.Int(len(s.Gauges))}}
	for i := range s.Readings {
		if i == shownRows {
			v.More = r.N("page.import.more", len(s.Readings)-shownRows)
			break
		}
		rd := &s.Readings[i]
		v.Rows = append(v.Rows, ImportRow{Line: strconv.Itoa(rd.Line), Position: rd.Position, Place: c.Place(r, rd.Position), State: r.State(rd.State),
			Value: r.With(c.check(r, rd.Value), rd.Unit), Gauge: rd.Gauge, Who: rd.Person, When: r.Day(rd.Time)})
	}
}

// Tell lists what is wrong in a file, each with its line and column.
func (v *Import) Tell(r Reader, faults fault.List) {
	for _, f := range faults {
		place := f.File
		if f.Line > 0 {
			place = f.File + ":" + strconv.Itoa(f.Line) + ":" + strconv.Itoa(f.Col)
		}
		v.Faults = append(v.Faults, ImportFault{place, r.Book.Fault(f)})
	}
}

// Done says how much was stored.
func (v *Import) Done(r Reader, job string, fresh int) {
	v.Job, v.JobHref = job, JobHref(job)
	v.Stored = r.N("page.import.stored", fresh)
	if fresh == 0 {
		v.Stored = r.T("page.import.again")
	}
}
