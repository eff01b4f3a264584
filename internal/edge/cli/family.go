package cli

import (
	"fmt"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/know/family"
	"fettle/internal/know/operation"
)

// lintCmd checks family files.
type lintCmd struct {
	Files []string `arg:"" name:"file" help:"lint_files"`
	JSON  bool     `name:"json" help:"json"`
}

type lintResult struct {
	File      string    `json:"file"`
	Family    string    `json:"family,omitempty"`
	Digest    string    `json:"digest,omitempty"`
	Positions int       `json:"positions,omitempty"`
	Problems  []problem `json:"problems"`
}

// Run lints each file and reports all problems of all of them.
func (c *lintCmd) Run(s *shell) error {
	if err := s.know(); err != nil {
		return err
	}
	var all fault.List
	var results []lintResult
	for _, name := range c.Files {
		r := lintResult{File: name, Problems: []problem{}}
		lay, faults := s.family(name)
		for _, f := range faults {
			r.Problems = append(r.Problems, s.problem(f))
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
		if err := s.print(results); err != nil {
			return err
		}
	}
	return all.OrNil()
}

// family reads and lays out one family file from disk.
func (s *shell) family(name string) (*family.Layout, fault.List) {
	text, err := slurp(name, mostFamily)
	if err != nil {
		return nil, fault.All(err)
	}
	return s.lib.Family(name, text)
}

// schemaCmd prints the JSON Schema of a kind of knowledge file.
type schemaCmd struct {
	Of string `arg:"" optional:"" enum:"family,operations" default:"family" help:"schema_of"`
}

// Run prints it.
func (c *schemaCmd) Run(s *shell) error {
	text := family.Schema()
	if c.Of == "operations" {
		text = operation.Schema()
	}
	_, err := s.Out.Write(text)
	return err
}
