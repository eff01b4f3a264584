package cli

import (
	"fmt"
	"io"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/judge/compute"
)

// computeCmd lists every computation or runs one.
type computeCmd struct {
	Name    string `arg:"" optional:"" help:"compute_name"`
	Schema  bool   `help:"compute_schema"`
	Example bool   `help:"compute_example"`
	JSON    bool   `name:"json" help:"json"`
}

// mostInput bounds what is read from standard input.
const mostInput = 1 << 20

// Run lists, describes or computes.
func (c *computeCmd) Run(s *shell) error {
	if err := s.know(); err != nil {
		return err
	}
	if c.Name == "" {
		return c.list(s)
	}
	e, ok := compute.Lookup(c.Name)
	if !ok {
		return fault.New(fault.Missing, "cli.no-computation", "found", c.Name)
	}
	if c.Schema || c.Example {
		text := e.Schema()
		if c.Example {
			text = e.Example()
		}
		s.told = true
		_, err := s.Out.Write(text)
		return err
	}
	in, err := io.ReadAll(io.LimitReader(s.In, mostInput+1))
	if err != nil {
		return err
	}
	if len(in) > mostInput {
		return fault.New(fault.TooLarge, "file.too-large", "most", "1 MiB").At("stdin", 1, 1)
	}
	answer, err := e.Run(in)
	if err != nil {
		var out fault.List
		for _, f := range fault.All(err) {
			out = append(out, f.At("stdin", max(f.Line, 1), max(f.Col, 1)))
		}
		return out
	}
	if c.JSON {
		return s.print(answer)
	}
	c.show(s, e, answer)
	return nil
}

// show writes an answer for people.
func (c *computeCmd) show(s *shell, e compute.Entry, answer compute.Answer) {
	var notes []string
	switch a := answer.(type) {
	case compute.Result:
		c.result(s, e, a)
		notes = a.Notes
	case compute.Outcome:
		for _, f := range a.Figures {
			fmt.Fprintln(s.Out, f.Line())
		}
		notes = a.Notes
	}
	for _, key := range notes {
		fmt.Fprintln(s.Out, s.book.Say(key))
	}
	if e.What != "" {
		fmt.Fprintln(s.Out, s.book.Say(e.What))
	}
	fmt.Fprintln(s.Out, s.book.Say("cli.computed-source", "source", s.lib.Sources[string(e.Source)].Title))
}

func (c *computeCmd) result(s *shell, e compute.Entry, r compute.Result) {
	fmt.Fprintln(s.Out, s.book.Say("cli.computed", "letter", e.Letter, "value", r.Value, "unit", r.Unit, "u", r.U, "dof", compute.Short(r.Dof)))
	if v := r.Coverage; v != nil {
		fmt.Fprintln(s.Out, s.book.Say("cli.computed-coverage", "expanded", compute.Short(v.Expanded), "p", v.P, "k", compute.Short(v.K),
			"law", v.Law, "dof", compute.Short(v.Dof)))
	}
	if v := r.Second; v != nil {
		fmt.Fprintln(s.Out, s.book.Say("cli.computed-second", "u", compute.Short(v.U), "shift", compute.Short(v.Shift)))
	}
	if v := r.Draws; v != nil {
		fmt.Fprintln(s.Out, s.book.Say("cli.computed-draws", "draws", strconv.Itoa(v.Draws), "mean", v.Mean, "deviation", compute.Short(v.Deviation), "p", v.P,
			"low", v.Low, "high", v.High, "shortlow", v.ShortLow, "shorthigh", v.ShortHigh))
	}
	fmt.Fprintln(s.Out, e.Equation)
}

func (c *computeCmd) list(s *shell) error {
	type line struct {
		Name     string `json:"name"`
		Equation string `json:"equation,omitempty"`
		What     string `json:"what,omitempty"`
		Source   string `json:"source"`
	}
	all := []line{}
	for _, e := range compute.Entries() {
		l := line{Name: e.Name, Equation: e.Equation, Source: string(e.Source)}
		if e.What != "" {
			l.What = s.book.Say(e.What)
		}
		all = append(all, l)
	}
	if c.JSON {
		return s.print(all)
	}
	for _, l := range all {
		text := l.Equation
		if l.What != "" {
			text = l.What
		}
		fmt.Fprintf(s.Out, "%-24s %s\n", l.Name, text)
	}
	fmt.Fprintln(s.Out, s.book.Count("cli.computations", len(all), strconv.Itoa(len(all))))
	return nil
}
