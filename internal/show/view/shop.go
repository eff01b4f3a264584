package view

import (
	"fettle/internal/show/plot"
)

// Entered is one job as the shop's page lists it.
type Entered struct {
	Job, Title, Family string
	Invented           bool
	Counts             Counts
	Findings           int
	Open               int   // questions without an answer
	Last               int64 // writer's time of the last entry, µs
	Readings           int
	Problem            string // why it cannot be judged; "" where it can
}

// Counts are verdicts by number.
type Counts struct{ Accept, Undecided, Reject, Unmeasured int }

// Shop is the page of all jobs.
type Shop struct {
	Frame
	Jobs  []JobRow
	Heads []Plate // of the columns of verdicts
}

// JobRow is one line of it.
type JobRow struct {
	Link               Link
	Title, Family      string
	FamilyHref         string
	Invented           bool
	Counts             [4]string
	Some               [4]bool
	Findings, Open     string
	HasFindings, Asked bool
	FindingsHref       string
	QuestionsHref      string
	Last, Readings     string
	Problem            string
}

// verdicts in the order of every table that counts them.
func verdicts() [4]plot.Verdict {
	return [4]plot.Verdict{plot.Reject, plot.Undecided, plot.Accept, plot.Unmeasured}
}

func (n Counts) list() [4]int { return [4]int{n.Reject, n.Undecided, n.Accept, n.Unmeasured} }

// Shop lists the jobs, newest entry first as they are given.
func (r Reader) Shop(jobs []Entered) Shop {
	v := Shop{Frame: r.frame(r.T("page.shop.title"), "/")}
	v.Under = r.N("page.shop.under", len(jobs))
	for _, p := range verdicts() {
		v.Heads = append(v.Heads, r.plate(p))
	}
	var last int64
	for _, j := range jobs {
		row := JobRow{Link: Link{Href: JobHref(j.Job), Text: j.Job}, Title: j.Title, Family: j.Family, FamilyHref: FamilyHref(j.Family),
			Invented: j.Invented, Findings: r.Int(j.Findings), Open: r.Int(j.Open), HasFindings: j.Findings > 0, Asked: j.Open > 0,
			FindingsHref: JobHref(j.Job, "findings"), QuestionsHref: JobHref(j.Job, "questions"),
			Last: r.Day(j.Last), Readings: r.Int(j.Readings), Problem: j.Problem}
		for i, n := range j.Counts.list() {
			row.Counts[i], row.Some[i] = r.Int(n), n > 0
		}
		last = max(last, j.Last)
		v.Jobs = append(v.Jobs, row)
	}
	v.Block = append(v.Block, plot.Field{Caption: r.T("page.block.last"), Text: r.Day(last)})
	return v
}
