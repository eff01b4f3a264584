package main

import (
	"fmt"
	"io"
	"sort"
	"strings"
)

// close prints a package that has ended and returns its counts.
func (p *room) close(e event, build []string, w io.Writer) Counts {
	c := p.count()
	if e.Action == "fail" && c.Failed == 0 {
		c.Failed = 1
	}
	switch {
	case e.Action == "fail":
		for _, line := range build {
			fmt.Fprint(w, line)
		}
		p.explain(w)
		fmt.Fprintf(w, "FAIL\t%s\t%.1fs\t%s\n", e.Package, e.Elapsed, c)
	case c == Counts{}:
		// A package without tests has nothing to say.
	default:
		when := fmt.Sprintf("%.1fs", e.Elapsed)
		if p.cached {
			when = "(cached)"
		}
		fmt.Fprintf(w, "ok\t%s\t%s\t%s\n", e.Package, when, c)
	}
	p.skips(w)
	return c
}

// count counts the tests that are no mere roof over others.
func (p *room) count() Counts {
	var c Counts
	for test, how := range p.ended {
		switch {
		case how == "fail" && (!p.parent[test] || !p.failedBelow(test)):
			c.Failed++
		case p.parent[test]:
		case how == "pass":
			c.Passed++
		case how == "skip":
			c.Skipped++
		}
	}
	return c
}

// failedBelow reports whether a subtest of test failed.
func (p *room) failedBelow(test string) bool {
	for other, how := range p.ended {
		if how == "fail" && strings.HasPrefix(other, test+"/") {
			return true
		}
	}
	return false
}

// explain prints all that the failed tests said, and, for a package that broke
// down as a whole, what it and its unfinished tests said.
func (p *room) explain(w io.Writer) {
	names := make([]string, 0, len(p.said))
	for test := range p.said {
		how, ended := p.ended[test]
		if how == "fail" || !ended {
			names = append(names, test)
		}
	}
	sort.Strings(names)
	for _, test := range names {
		for _, line := range p.said[test] {
			if !strings.HasPrefix(line, "=== ") {
				fmt.Fprint(w, line)
			}
		}
	}
}

// skips prints each skipped test with the reason it gave.
func (p *room) skips(w io.Writer) {
	names := make([]string, 0, len(p.ended))
	for test, how := range p.ended {
		if how == "skip" && !p.parent[test] {
			names = append(names, test)
		}
	}
	sort.Strings(names)
	for _, test := range names {
		var why []string
		for _, line := range p.said[test] {
			if line = strings.TrimSpace(line); !strings.HasPrefix(line, "=== ") && !strings.HasPrefix(line, "--- ") {
				why = append(why, line)
			}
		}
		fmt.Fprintf(w, "skip\t%s: %s\n", test, strings.Join(why, " "))
	}
}

// String is the account of one package.
func (c Counts) String() string {
	s := fmt.Sprintf("%d passed", c.Passed)
	if c.Failed > 0 {
		s += fmt.Sprintf(", %d failed", c.Failed)
	}
	if c.Skipped > 0 {
		s += fmt.Sprintf(", %d skipped", c.Skipped)
	}
	return s
}
