package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"strings"
)

// Counts is how many tests ended which way.
//
// A test with subtests is not counted beside them, unless it failed and none of
// them did. A package that failed without a failing test (it did not compile,
// it panicked, it ran out of time) counts as one failure.
type Counts struct{ Passed, Failed, Skipped int }

// event is one line of go test -json; see go doc test2json.
type event struct {
	Action      string
	Package     string
	ImportPath  string // of a build that spoke or failed
	FailedBuild string
	Test        string
	Output      string
	Elapsed     float64
}

// room is what is known of one package while it runs.
type room struct {
	ended  map[string]string   // test -> pass, fail or skip
	said   map[string][]string // test -> its lines; "" is the package itself
	parent map[string]bool     // tests that have subtests
	cached bool
}

// Read follows a stream to its end, printing each package as it ends. A line
// that is not JSON is passed on as it stands. It fails only when r cannot be
// read or the stream breaks off in the middle of a package.
func Read(r io.Reader, w io.Writer) (Counts, error) {
	var total Counts
	rooms := map[string]*room{}
	builds := map[string][]string{}
	in := bufio.NewReader(r)
	for {
		line, err := in.ReadString('\n')
		if line != "" {
			var e event
			if json.Unmarshal([]byte(line), &e) != nil {
				fmt.Fprint(w, line)
			} else {
				total.add(take(e, rooms, builds, w))
			}
		}
		if err == io.EOF {
			break
		}
		if err != nil {
			return total, err
		}
	}
	for name := range rooms {
		return total, fmt.Errorf("the stream ends while %s still runs", name)
	}
	return total, nil
}

func (c *Counts) add(d Counts) {
	c.Passed += d.Passed
	c.Failed += d.Failed
	c.Skipped += d.Skipped
}

// take digests one event and returns what the package it ended, if any, adds.
func take(e event, rooms map[string]*room, builds map[string][]string, w io.Writer) Counts {
	if e.Action == "build-output" {
		builds[e.ImportPath] = append(builds[e.ImportPath], e.Output)
		return Counts{}
	}
	if e.Package == "" {
		return Counts{}
	}
	p := rooms[e.Package]
	if p == nil {
		p = &room{ended: map[string]string{}, said: map[string][]string{}, parent: map[string]bool{}}
		rooms[e.Package] = p
	}
	switch e.Action {
	case "run":
		if i := strings.LastIndexByte(e.Test, '/'); i > 0 {
			p.parent[e.Test[:i]] = true
		}
	case "output":
		p.said[e.Test] = append(p.said[e.Test], e.Output)
		p.cached = p.cached || e.Test == "" && strings.Contains(e.Output, "(cached)")
	case "pass", "fail", "skip":
		if e.Test != "" {
			p.ended[e.Test] = e.Action
			return Counts{}
		}
		delete(rooms, e.Package)
		return p.close(e, builds[e.FailedBuild], w)
	}
	return Counts{}
}
