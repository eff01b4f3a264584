package cli

import (
	"encoding/json"
	"fmt"
	"os"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/know/family"
)

// lintCmd checks family files.
type lintCmd struct {
	Files []string `arg:"" name:"file" help:"${help_lint_files}"`
	JSON  bool     `name:"json" help:"${help_json}"`
}

type lintResult struct {
	File      string     `json:"file"`
	Family    string     `json:"family,omitempty"`
	Digest    string     `json:"digest,omitempty"`
	Positions int        `json:"positions,omitempty"`
	Problems  []lintLine `json:"problems"`
}

type lintLine struct {
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Key     string `json:"key"`
	Message string `json:"message"`
}

// Run lints each file and reports all problems of all of them.
func (c *lintCmd) Run(s *shell) error {
	if err := s.know(); err != nil {
		return err
	}
	var all fault.List
	var results []lintResult
	for _, name := range c.Files {
		r := lintResult{File: name, Problems: []lintLine{}}
		lay, faults := s.family(name)
		for _, f := range faults {
			r.Problems = append(r.Problems, lintLine{f.Line, f.Col, f.Key, s.book.Fault(f)})
		}
		if lay != nil {
			r.Family, r.Digest, r.Positions = lay.Family.ID, s.lib.Digests[lay.Family.ID], len(lay.Places)
			if !c.JSON {
				fmt.Fprintln(s.Out, s.book.Say("cli.lint-good", "file", name, "family", r.Family,
					"characteristics", strconv.Itoa(len(lay.Family.Characteristics)), "positions", strconv.Itoa(r.Positions), "digest", r.Digest[:12]))
			}
		}
		results = append(results, r)
		all = append(all, faults...)
	}
	if c.JSON {
		b, err := json.MarshalIndent(results, "", "  ")
		if err != nil {
			return err
		}
		fmt.Fprintln(s.Out, string(b))
	}
	return all.OrNil()
}

// family reads and lays out one family file from disk.
func (s *shell) family(name string) (*family.Layout, fault.List) {
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, fault.List{fault.New(fault.Missing, "cli.no-file", "file", name).At(name, 1, 1)}
	}
	return s.lib.Family(name, text)
}

// schemaCmd prints the JSON Schema of a family file.
type schemaCmd struct{}

// Run prints it.
func (c *schemaCmd) Run(s *shell) error {
	_, err := s.Out.Write(family.Schema())
	return err
}
