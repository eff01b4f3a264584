package view

// Import is the page on which a file of readings is taken in: chosen, then
// previewed, then confirmed.
type Import struct {
	Frame
	Jobs     []Choice
	Text     string // the file itself, carried from the preview to its confirmation
	Name     string
	Key      string
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
