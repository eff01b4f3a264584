package cli

import (
	"bytes"
	"fmt"
	"io"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/judge/compute"
)

// computeCmd lists every computation or runs one.
type computeCmd struct {
	Name   string `arg:"" optional:"" help:"${help_compute_name}"`
	Schema bool   `help:"${help_compute_schema}"`
	JSON   bool   `name:"json" help:"${help_json}"`
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
	r, ok := s.reg[c.Name]
	if !ok {
		return fault.New(fault.Missing, "cli.no-computation", "found", c.Name)
	}
	if c.Schema {
		_, err := s.Out.Write(compute.Schema(r))
		return err
	}
	in, err := io.ReadAll(io.LimitReader(s.In, mostInput+1))
	if err != nil {
		return err
	}
	if len(in) > mostInput {
		return fault.New(fault.TooLarge, "file.too-large", "most", "1 MiB").At("stdin", 1, 1)
	}
	res, err := compute.Run(r, in)
	if err != nil {
		var out fault.List
		for _, f := range fault.All(err) {
			if f.File == "" {
				line, col := at(in, f.Path)
				f = f.At("stdin", line, col)
			}
			out = append(out, f)
		}
		return out
	}
	if c.JSON {
		return s.print(res)
	}
	fmt.Fprintln(s.Out, s.book.Say("cli.computed", "letter", r.Out.Letter, "value", res.Value, "unit", res.Unit, "u", res.U, "dof", res.Dof))
	fmt.Fprintln(s.Out, r.Equation)
	fmt.Fprintln(s.Out, s.book.Say("cli.computed-source", "source", s.lib.Sources[string(r.Source)].Title))
	return nil
}

func (c *computeCmd) list(s *shell) error {
	if c.JSON {
		type line struct {
			Name     string `json:"name"`
			Equation string `json:"equation"`
			Source   string `json:"source"`
		}
		out := []line{}
		for _, r := range compute.All() {
			out = append(out, line{r.Name, r.Equation, string(r.Source)})
		}
		return s.print(out)
	}
	for _, r := range compute.All() {
		fmt.Fprintf(s.Out, "%-22s %s\n", r.Name, r.Equation)
	}
	fmt.Fprintln(s.Out, s.book.Count("cli.computations", len(compute.All()), strconv.Itoa(len(compute.All()))))
	return nil
}

// at finds the line and column of a key in JSON text, the start if it is not
// there.
func at(text []byte, key string) (line, col int) {
	i := bytes.Index(text, []byte(`"`+key+`"`))
	if key == "" || i < 0 {
		return 1, 1
	}
	before := text[:i]
	return 1 + bytes.Count(before, []byte("\n")), i - bytes.LastIndexByte(before, '\n')
}
