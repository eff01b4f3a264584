package demo

import (
	"fmt"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/know/file"
)

// Load reads a truth file and the file of the shop it happens in. Every problem
// is reported, with its place; what a truth says of a family is checked by Make.
func Load(name string, text []byte, shopName string, shopText []byte) (Truth, fault.List) {
	t, doc, faults := file.Read[Truth](name, text, file.Compile(Schema()))
	s, shopDoc, fl := file.Read[Shop](shopName, shopText, file.Compile(file.Schema(&Shop{}, "demo-shop-1.json", "fettle demo shop, version 1")))
	faults = append(faults, fl...)
	if doc != nil && shopDoc != nil && len(faults) == 0 {
		t.Shop = s
		faults = append(faults, t.names(doc)...)
		faults = append(faults, s.names(shopDoc)...)
	}
	return t, faults
}

// Schema is the JSON Schema of a truth file.
func Schema() []byte {
	return file.Schema(&Truth{}, "demo-1.json", "fettle demo truth, version 1")
}

// names checks what can be checked without a family.
func (t *Truth) names(doc *file.Doc) fault.List {
	var out fault.List
	say := func(path, key string, pairs ...string) { out = append(out, doc.Fault(path, key, pairs...)) }
	if _, err := time.Parse(time.RFC3339, t.Start); err != nil {
		say("start", "demo.bad-time", "found", t.Start)
	}
	people, gauges := map[string]bool{}, map[string]bool{}
	for _, p := range t.Shop.People {
		people[p.ID] = true
	}
	for _, g := range t.Shop.Gauges {
		gauges[g.ID] = true
	}
	for i, s := range t.Sessions {
		if !people[s.Person] {
			say(fmt.Sprintf("sessions[%d].person", i), "demo.unknown-person", "found", s.Person)
		}
		if _, err := clock(s.At); err != nil {
			say(fmt.Sprintf("sessions[%d].at", i), "demo.bad-time", "found", s.At)
		}
	}
	for i, u := range t.Uses {
		for _, id := range []string{u.Gauge, u.Master} {
			if id != "" && !gauges[id] {
				say(fmt.Sprintf("uses[%d]", i), "demo.unknown-gauge", "found", id)
			}
		}
	}
	for i, r := range t.Remarks {
		if !people[r.Person] {
			say(fmt.Sprintf("remarks[%d].person", i), "demo.unknown-person", "found", r.Person)
		}
		if r.After > len(t.Sessions) {
			say(fmt.Sprintf("remarks[%d].after", i), "demo.no-such-session", "found", fmt.Sprint(r.After), "most", fmt.Sprint(len(t.Sessions)))
		}
	}
	seen := map[string]bool{}
	for i, p := range t.Planted {
		at := fmt.Sprintf("planted[%d]", i)
		if seen[p.ID] {
			say(at+".id", "family.duplicate", "found", p.ID)
		}
		seen[p.ID] = true
		if got := places(p.Place); len(got) != len(p.Over) {
			say(at+".place", "demo.place", "found", p.Place, "over", strings.Join(p.Over, "/"))
		}
		for k, e := range p.Expect {
			if e.Finding == "" && e.Question == "" && e.Verdict == "" {
				say(fmt.Sprintf("%s.expect[%d]", at, k), "demo.expects-nothing")
			}
		}
	}
	return out
}

// names checks the shop; a master stands before what is set on it.
func (s *Shop) names(doc *file.Doc) fault.List {
	var out fault.List
	if _, err := time.Parse(time.RFC3339, s.Start); err != nil {
		out = append(out, doc.Fault("start", "demo.bad-time", "found", s.Start))
	}
	seen := map[string]bool{}
	for i, g := range s.Gauges {
		if seen[g.ID] {
			out = append(out, doc.Fault(fmt.Sprintf("gauges[%d].id", i), "family.duplicate", "found", g.ID))
		}
		seen[g.ID] = true
		if g.Master != "" && !seen[g.Master] {
			out = append(out, doc.Fault(fmt.Sprintf("gauges[%d].master", i), "demo.unknown-gauge", "found", g.Master))
		}
	}
	return out
}

func clock(s string) (time.Duration, error) {
	t, err := time.Parse("15:04", s)
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute, err
}

func places(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, "/")
}
