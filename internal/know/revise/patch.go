// Package revise makes one family out of another: a patch names what is
// different, the text of the family takes it up and stays byte for byte what it
// was everywhere else, and two families tell in what they differ.
package revise

import (
	"regexp"
	"strconv"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/know/source"
)

// Patch is what a person changes in a family.
type Patch struct {
	Format  string          `json:"fettle"`            // family patch/1
	Base    string          `json:"base"`              // id of the family it begins from
	Digest  string          `json:"digest"`            // of that family's version
	ID      string          `json:"id"`                // of the family it makes; that of the base makes a revision
	Name    string          `json:"name,omitempty"`    // "" keeps the name
	Note    string          `json:"note,omitempty"`    // "" keeps the note
	Sources []source.Source `json:"sources,omitempty"` // typed in, beside those that the library has
	Changes []Change        `json:"changes,omitempty"`
	Adopted *Adopted        `json:"adopted,omitempty"`
}

// Adopted says who took a family up, when, and which version it became.
type Adopted struct {
	Person string `json:"person,omitempty"`
	Time   int64  `json:"time"` // µs since 1970 UTC
	Digest string `json:"digest"`
}

// Format is the kind and version of a patch.
const Format = "family patch/1"

// Change is one figure, nominal or limit that is another.
//
// Path is one of
//
//	engine.bore                  a figure of the engine
//	block/bore.nominal           the healthy size of a characteristic
//	block/bore.limits[0]         one of its limits, counted in the base
//	block/bore.limits[+reuse]    a limit that the base does not have: +new or +reuse
//
// Old is what stands in the base and New what shall stand there: a quantity; a
// whole number; a list of either with commas; bounds as Bounds writes them. An
// empty text is what is not there.
type Change struct {
	Path   string      `json:"path"`
	Old    string      `json:"old,omitempty"`
	New    string      `json:"new,omitempty"`
	Source cite.Key    `json:"source,omitempty"` // of a limit
	Status cite.Status `json:"status,omitempty"`
	Reason string      `json:"reason,omitempty"` // why a limit is dropped
}

// MostReason is the longest reason, in letters.
const MostReason = 400

// target is a path in its parts.
type target struct {
	figure string // below engine
	char   string
	limit  int    // index in the base; -1 for none
	add    string // new or reuse: a limit to add
}

var paths = regexp.MustCompile(`^(?:engine\.([a-z_]+(?:\[[0-9]{1,3}\])?(?:\.[a-z_]+(?:\[[0-9]{1,3}\])?)*)|([a-z0-9-]+/[a-z0-9-]+)\.(?:(nominal)|limits\[(?:([0-9]{1,3})|\+(new|reuse))\]))$`)

// parse reads a path.
func parse(path string) (t target, ok bool) {
	m := paths.FindStringSubmatch(path)
	if m == nil {
		return t, false
	}
	t = target{figure: m[1], char: m[2], limit: -1, add: m[5]}
	if m[4] != "" {
		t.limit, _ = strconv.Atoi(m[4])
	}
	return t, true
}

// Char is the characteristic that a path belongs to, "" for a figure.
func Char(path string) string {
	t, _ := parse(path)
	return t.char
}

// limits reports whether a path is that of a limit.
func (t target) limits() bool { return t.limit >= 0 || t.add != "" }

// ids are the ids that a family or a source may have.
var ids = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// mostID keeps an id short enough for a file name.
const mostID = 64

// check says everything that is wrong with a patch by itself.
func (p *Patch) check() fault.List {
	var out fault.List
	say := func(path, key string, pairs ...string) {
		out = append(out, fault.New(fault.Invalid, key, pairs...).In(path))
	}
	if !ids.MatchString(p.ID) || len(p.ID) > mostID {
		say("id", "revise.bad-id", "found", clip(p.ID))
	}
	for _, t := range []struct{ path, text string }{{"name", p.Name}, {"note", p.Note}} {
		if !printable(t.text) {
			say(t.path, "revise.not-a-line")
		}
	}
	seen := map[string]bool{}
	for i := range p.Changes {
		c := &p.Changes[i]
		t, ok := parse(c.Path)
		switch {
		case !ok:
			say(c.Path, "revise.no-path", "found", clip(c.Path))
			continue
		case seen[c.Path]:
			say(c.Path, "revise.twice", "found", c.Path)
			continue
		}
		seen[c.Path] = true
		if t.limits() {
			out = append(out, c.Labelled()...)
		}
		if !printable(c.Reason) {
			say(c.Path, "revise.not-a-line")
		}
	}
	return out
}

// Labelled says what a changed limit lacks: a source and a review status, or a
// reason where it is dropped. Figures and nominals need neither.
func (c *Change) Labelled() fault.List {
	t, ok := parse(c.Path)
	if !ok || !t.limits() {
		return nil
	}
	var out fault.List
	say := func(field, key string, pairs ...string) {
		out = append(out, fault.New(fault.Invalid, key, pairs...).In(c.Path+"."+field))
	}
	if c.New == "" {
		if t.add != "" {
			say("new", "revise.no-bound")
		}
		if strings.TrimSpace(c.Reason) == "" {
			say("reason", "revise.no-reason")
		}
		if n := len([]rune(c.Reason)); n > MostReason {
			say("reason", "bench.too-long", "found", strconv.Itoa(n), "most", strconv.Itoa(MostReason))
		}
		return out
	}
	if c.Source == "" {
		say("source", "revise.no-source")
	} else if !ids.MatchString(string(c.Source)) {
		say("source", "revise.bad-source", "found", clip(string(c.Source)))
	}
	if c.Status == "" {
		say("status", "revise.no-status")
	} else if !c.Status.Known() {
		say("status", "revise.bad-status", "found", clip(string(c.Status)))
	}
	return out
}

// printable reports a text of one line without control characters.
func printable(s string) bool {
	for _, c := range s {
		if c < ' ' || c == 0x7f || c == 0x85 || c == 0x2028 || c == 0x2029 || c == 0xfeff || c == 0xfffd {
			return false
		}
	}
	return true
}

func clip(s string) string {
	if r := []rune(s); len(r) > 80 {
		return string(r[:80]) + "…"
	}
	return s
}
