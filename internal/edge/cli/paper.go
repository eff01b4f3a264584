package cli

import (
	"fmt"
	"os"
	"slices"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/sheet"
	"fettle/internal/show/view"
)

// paperCmd prints a sheet of one part to be filled in by hand.
type paperCmd struct {
	Part   string `arg:"" help:"paper_part"`
	Family string `required:"" help:"evaluate_family"`
	Job    string `help:"paper_job"`
	State  string `default:"found" help:"paper_state"`
	Paper  string `default:"A4" enum:"A4,Letter" help:"paper_size"`
	Out    string `default:"sheet.pdf" help:"paper_out"`
	Lang   string `default:"en" enum:"en,de" help:"lang"`
}

// Run writes the sheet.
func (c *paperCmd) Run(s *shell) error {
	lay, err := s.prepare(c.Family)
	if err != nil {
		return err
	}
	if !job.KnownState(c.State) {
		return fault.New(fault.Invalid, "bench.unknown-state", "found", c.State)
	}
	r := view.Reader{Lang: c.Lang, Mark: '.', Book: s.lib.Book(c.Lang)}
	if c.Lang == "de" {
		r.Mark = ','
	}
	cs := view.Case{Assessment: &assess.Assessment{Job: c.Job}, Layout: lay, Library: s.lib, Job: job.Replay(nil), Shop: shop.Replay(nil)}
	p, ok := cs.Paper(r, c.Part, c.State, placesOf(lay, c.Part), "")
	if !ok {
		return fault.New(fault.Missing, "cli.not-there", "found", c.Part, "expected", strings.Join(measuredParts(lay), ", "))
	}
	pdf, err := sheet.Paper(p, c.Paper, 0, program(), func(n, m int) string { return r.T("sheet.number", "n", r.Int(n), "m", r.Int(m)) })
	if err != nil {
		return err
	}
	if err := os.WriteFile(c.Out, pdf, 0o644); err != nil {
		return fault.New(fault.Refused, "cli.no-export", "file", c.Out, "error", plain(err)).Because(err)
	}
	fmt.Fprintln(s.Out, c.Out)
	return nil
}

func placesOf(l *family.Layout, component string) (out []int) {
	for i := range l.Places {
		if l.Places[i].Char.Component() == component {
			out = append(out, i)
		}
	}
	return out
}

// measuredParts are the components on which something is measured.
func measuredParts(l *family.Layout) (out []string) {
	for i := range l.Places {
		if id := l.Places[i].Char.Component(); l.Places[i].Char.Relation == "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}
