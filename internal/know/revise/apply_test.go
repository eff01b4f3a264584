package revise

import (
	"os"
	"slices"
	"strings"
	"testing"

	"fettle/internal/base/fault"
	"fettle/internal/know/family"
	"fettle/internal/know/source"
)

func shipped(t testing.TB, id string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../../data/family/" + id + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// base is a patch on a shipped family that makes one of its own.
func base(id string, list ...Change) Patch {
	return Patch{Format: Format, Base: id, Digest: strings.Repeat("0", 64), ID: "own-1", Name: `Own "one"`, Changes: list}
}

// fill labels a change with a source and a status.
func fill(c Change) Change {
	c.Source, c.Status = "own-manual", "manual in hand"
	return c
}

func manual() []source.Source {
	return []source.Source{{ID: "own-manual", Kind: "book", Seen: "read", Place: "page 12", Title: `Workshop manual: "own", 2nd edition`},
		{ID: "never-cited", Kind: "book", Seen: "own", Title: "nobody names it"}}
}

// lines tells two texts apart: what left and what came.
func lines(a, b string) (gone, come []string) {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for _, l := range x {
		if !slices.Contains(y, l) {
			gone = append(gone, l)
		}
	}
	for _, l := range y {
		if !slices.Contains(x, l) {
			come = append(come, l)
		}
	}
	return gone, come
}

// Golden: a patch on the inline five changes these lines and keeps every other
// byte. The figures are made up.
func TestGoldenPatchKeepsEveryOtherByte(t *testing.T) {
	text := string(shipped(t, "corran-24-5"))
	p := base("corran-24-5",
		Change{Path: "engine.bore", Old: "83.000 mm", New: "83.500 mm"},
		Change{Path: "engine.thrust_main", Old: "4", New: "3"},
		Change{Path: "engine.oversizes", Old: "0.25 mm, 0.50 mm, 1.00 mm", New: "0.25 mm, 0.50 mm"},
		Change{Path: "engine.gaskets[1].thickness", Old: "1.15 mm", New: "1.20 mm"},
		Change{Path: "block/bore.nominal", Old: "83.010 mm", New: "83.510 mm"},
		fill(Change{Path: "block/bore.limits[0]", Old: "min 82.995 mm, max 83.025 mm", New: "min 83.495 mm, max 83.525 mm"}),
		Change{Path: "block/bore.limits[1]", Old: "min 82.995 mm, max 83.060 mm", Reason: "the maker gives no wear limit: see # note"},
		fill(Change{Path: "block/bore-out-of-round.limits[1]", Old: "max 0.020 mm", New: "min 0.001 mm, max 0.015 mm"}))
	p.Sources = manual()
	out, faults := Apply([]byte(text), p)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	gone, come := lines(text, string(out))
	wantGone := []string{
		"id: corran-24-5",
		`name: {en: "Corran 2.4, inline five"}`,
		"  bore: 83.000 mm",
		"  thrust_main: 4",
		"  oversizes: [0.25 mm, 0.50 mm, 1.00 mm]",
		"    - {id: rework, thickness: 1.15 mm, bore: 84.5 mm}",
		"     nominal: 83.010 mm, wears: up, target: bore, finding: bore-size,",
		"     limits: [{for: new, min: 82.995 mm, max: 83.025 mm, source: invented-demo, status: invented for the demo},",
		"              {for: reuse, min: 82.995 mm, max: 83.060 mm, source: invented-demo, status: invented for the demo}]}",
		"              {for: reuse, max: 0.020 mm, source: invented-demo, status: invented for the demo}]}",
	}
	wantCome := []string{
		"id: own-1",
		`name: {en: "Own \"one\""}`,
		"sources:",
		`  - {id: own-manual, kind: book, seen: read, place: "page 12", title: "Workshop manual: \"own\", 2nd edition"}`,
		"  bore: 83.500 mm",
		"  thrust_main: 3",
		"  oversizes: [0.25 mm, 0.50 mm]",
		"    - {id: rework, thickness: 1.20 mm, bore: 84.5 mm}",
		"  # Limit for reuse (min 82.995 mm, max 83.060 mm) dropped: the maker gives no wear limit: see # note",
		"     nominal: 83.510 mm, wears: up, target: bore, finding: bore-size,",
		"     limits: [{for: new, min: 83.495 mm, max: 83.525 mm, source: own-manual, status: manual in hand}]}",
		"              {for: reuse, min: 0.001 mm, max: 0.015 mm, source: own-manual, status: manual in hand}]}",
	}
	// 0.020 mm as a limit for reuse stands in other characteristics too.
	gone = append(gone, wantGone[len(wantGone)-1])
	if !slices.Equal(gone, wantGone) {
		t.Errorf("gone:\n%s\nwant:\n%s", strings.Join(gone, "\n"), strings.Join(wantGone, "\n"))
	}
	if !slices.Equal(come, wantCome) {
		t.Errorf("come:\n%s\nwant:\n%s", strings.Join(come, "\n"), strings.Join(wantCome, "\n"))
	}
	// Taken back line by line, the old text is there again, every byte of it.
	back := string(out)
	for _, w := range [][2]string{{wantCome[0], wantGone[0]}, {wantCome[1], wantGone[1]}, {wantCome[2] + "\n" + wantCome[3] + "\n", ""},
		{wantCome[4], wantGone[2]}, {wantCome[5], wantGone[3]}, {wantCome[6], wantGone[4]}, {wantCome[7], wantGone[5]}, {wantCome[8] + "\n", ""},
		{wantCome[9], wantGone[6]}, {wantCome[10], wantGone[7] + "\n" + wantGone[8]}, {wantCome[11], wantGone[9]}} {
		if strings.Count(back, w[0]) != 1 {
			t.Errorf("%q stands %d times", w[0], strings.Count(back, w[0]))
		}
		back = strings.Replace(back, w[0], w[1], 1)
	}
	if back != text {
		t.Error("some other byte has changed")
	}
	l, faults := family.Parse("family/own-1.yaml", out, family.Validator(), family.Known{})
	if l == nil || len(faults) > 0 || l.Family.ID != "own-1" || len(l.Family.Sources) != 1 {
		t.Errorf("the result is not sound: %v", faults)
	}
}

// Law: an empty patch with the same id changes one line: which version it
// revises. Applied to its own result it is the next revision.
func TestRevisionSaysWhatItRevises(t *testing.T) {
	for _, id := range []string{"corran-24-5", "tarn-32-6", "skerry-40-8", "brae-05-1"} {
		text := shipped(t, id)
		p := Patch{Format: Format, Base: id, ID: id, Digest: strings.Repeat("a", 64)}
		out, faults := Apply(text, p)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		gone, come := lines(string(text), string(out))
		if len(gone) != 0 || !slices.Equal(come, []string{`revises: "` + p.Digest + `"`}) {
			t.Errorf("%s: gone %v, come %v", id, gone, come)
		}
		p.Digest = strings.Repeat("b", 64)
		again, faults := Apply(out, p)
		if want := strings.Replace(string(out), strings.Repeat("a", 64), p.Digest, 1); len(faults) > 0 || string(again) != want {
			t.Errorf("%s: the next revision is %v", id, faults)
		}
		p.ID = "other-1"
		own, faults := Apply(again, p)
		if len(faults) > 0 || strings.Contains(string(own), "revises") {
			t.Errorf("%s: a family of its own still revises another: %v", id, faults)
		}
	}
}

// styles are one small synthetic file written in several ways.
func styles() map[string]string {
	return map[string]string{
		"flow":   "id: a\nname: {en: A}\nengine: {bore: 80 mm, mains: 3}\ncharacteristics:\n- {id: b/c, finding: f, quantity: length, nominal: 80 mm, limits: [{for: new, min: 1 mm, max: 2 mm, source: s, status: from memory}, {for: reuse, max: 3 mm, source: s, status: from memory}]}\n",
		"block":  "id: a # the id\nname:\n  en: A\nengine:\n  # in mm\n  bore: 80 mm\n  mains: 3\ncharacteristics:\n  - id: b/c\n    finding: f\n    quantity: length\n    nominal: 80 mm\n    limits:\n      - for: new\n        min: 1 mm\n        max: 2 mm\n        source: s\n        status: from memory\n      - for: reuse\n        max: 3 mm\n        source: s # where\n        status: from memory\n",
		"quoted": "\"id\": 'a'\r\nname: {en: 'A ''x'''}\r\nengine: {\r\n  bore: \"80 mm\", # wide\r\n  mains: 3}\r\ncharacteristics: [\r\n  {id: \"b/c\", finding: f, quantity: length, nominal: '80 mm',\r\n   limits: [{for: new, min: \"1 mm\", max: '2 mm', source: s, status: 'from memory'},\r\n            {for: reuse, max: 3 mm, source: s, status: from memory}]}]\r\n",
		"bom":    "\ufeffid: a\nname: {en: \"Ä·→\", de: Ö}\nengine: {note: \"größer\", bore: 80 mm, mains: 3}\ncharacteristics:\n- {id: b/c, name: {en: µ-größe}, finding: f, quantity: length, nominal: 80 mm, limits: [{for: new, min: 1 mm, max: 2 mm, source: s, status: from memory},{for: reuse, max: 3 mm, source: s, status: from memory}]}\n",
		"json":   `{"id": "a", "name": {"en": "A"}, "engine": {"bore": "80 mm", "mains": 3}, "characteristics": [{"id": "b/c", "finding": "f", "quantity": "length", "nominal": "80 mm", "limits": [{"for": "new", "min": "1 mm", "max": "2 mm", "source": "s", "status": "from memory"}, {"for": "reuse", "max": "3 mm", "source": "s", "status": "from memory"}]}]}`,
	}
}

// Law: every way of writing takes every kind of change, and Apply itself holds
// the result against what was asked.
func TestEveryStyleTakesEveryChange(t *testing.T) {
	own := func(c Change) Change { c.Source, c.Status = "s", "common practice"; return c }
	changes := map[string][]Change{
		"figure":       {{Path: "engine.bore", Old: "80 mm", New: "81.00 mm"}},
		"count":        {{Path: "engine.mains", Old: "3", New: "4"}},
		"new figure":   {{Path: "engine.firing_order", New: "1, 2"}, {Path: "engine.stroke", New: "70 mm"}, {Path: "engine.oversizes", New: "0.5 mm"}},
		"no figure":    {{Path: "engine.mains", Old: "3"}},
		"nominal":      {{Path: "b/c.nominal", Old: "80 mm", New: "81 mm"}},
		"no nominal":   {{Path: "b/c.nominal", Old: "80 mm"}},
		"both bounds":  {own(Change{Path: "b/c.limits[0]", Old: "min 1 mm, max 2 mm", New: "min 1.5 mm, max 2.5 mm"})},
		"least only":   {own(Change{Path: "b/c.limits[0]", Old: "min 1 mm, max 2 mm", New: "min 1 mm"})},
		"most only":    {own(Change{Path: "b/c.limits[0]", Old: "min 1 mm, max 2 mm", New: "max 2 mm"})},
		"other bound":  {own(Change{Path: "b/c.limits[1]", Old: "max 3 mm", New: "min 3 mm"})},
		"further":      {own(Change{Path: "b/c.limits[1]", Old: "max 3 mm", New: "min 3 mm, max 4 mm"})},
		"label":        {own(Change{Path: "b/c.limits[1]", Old: "max 3 mm", New: "max 3 mm"})},
		"drop first":   {{Path: "b/c.limits[0]", Old: "min 1 mm, max 2 mm", Reason: "r"}},
		"drop last":    {{Path: "b/c.limits[1]", Old: "max 3 mm", Reason: "r"}},
		"drop all":     {{Path: "b/c.limits[0]", Old: "min 1 mm, max 2 mm", Reason: "r"}, {Path: "b/c.limits[1]", Old: "max 3 mm", Reason: "r"}},
		"add":          {own(Change{Path: "b/c.limits[+reuse]", New: "min 1 mm"})},
		"drop and add": {{Path: "b/c.limits[1]", Old: "max 3 mm", Reason: "r"}, own(Change{Path: "b/c.limits[+reuse]", New: "max 9 mm"})},
		"all anew": {{Path: "b/c.limits[0]", Old: "min 1 mm, max 2 mm", Reason: "r"}, {Path: "b/c.limits[1]", Old: "max 3 mm", Reason: "r"},
			own(Change{Path: "b/c.limits[+new]", New: "max 9 mm"}), own(Change{Path: "b/c.limits[+reuse]", New: "max 9 mm"})},
	}
	// Taking a value out would take the remark behind it along; said, not done.
	refused := map[string]bool{"block drop last": true, "block drop all": true, "block drop and add": true, "block all anew": true, "quoted no figure": true}
	for style, text := range styles() {
		for what, list := range changes {
			p := Patch{Base: "a", ID: "b", Changes: list, Sources: []source.Source{{ID: "s", Kind: "own", Seen: "own", Title: "x"}}}
			p.Sources = nil
			out, faults := Apply([]byte(text), p)
			if want := refused[style+" "+what]; (len(faults) > 0) != want {
				t.Errorf("%s, %s: %v", style, what, faults)
				continue
			}
			for _, f := range faults {
				if f.Key != "revise.cannot-edit" {
					t.Errorf("%s, %s: %v", style, what, f)
				}
			}
			if strings.Contains(text, "\r\n") && strings.Count(string(out), "\n") != strings.Count(string(out), "\r\n") {
				t.Errorf("%s, %s: breaks of two kinds", style, what)
			}
			for _, keep := range []string{"# the id", "# in mm", "# wide", "# where", "µ-größe", "größer", "A ''x'''"} {
				if strings.Count(text, keep) != strings.Count(string(out), keep) && len(faults) == 0 {
					t.Errorf("%s, %s: %q is lost", style, what, keep)
				}
			}
		}
	}
}

// keysOf lists message keys by path.
func keysOf(l fault.List) map[string]string {
	m := map[string]string{}
	for _, f := range l {
		m[f.Path] = f.Key
	}
	return m
}

func TestBadPatchesAreRefused(t *testing.T) {
	text := shipped(t, "brae-05-1")
	good := fill(Change{Path: "block/bore.limits[0]", Old: "min 88.997 mm, max 89.027 mm", New: "max 89.030 mm"})
	with := func(f func(*Change)) Change { c := good; f(&c); return c }
	for _, c := range []struct {
		name, path, key string
		p               Patch
	}{
		{"no source", "block/bore.limits[0].source", "revise.no-source", base("brae-05-1", with(func(c *Change) { c.Source = "" }))},
		{"no status", "block/bore.limits[0].status", "revise.no-status", base("brae-05-1", with(func(c *Change) { c.Status = "" }))},
		{"status", "block/bore.limits[0].status", "revise.bad-status", base("brae-05-1", with(func(c *Change) { c.Status = "sure" }))},
		{"source", "block/bore.limits[0].source", "revise.bad-source", base("brae-05-1", with(func(c *Change) { c.Source = "a: b" }))},
		{"reason", "block/bore.limits[0].reason", "revise.no-reason", base("brae-05-1", Change{Path: good.Path, Old: good.Old, Reason: " "})},
		{"reason of two lines", good.Path, "revise.not-a-line", base("brae-05-1", Change{Path: good.Path, Old: good.Old, Reason: "a\nb: c"})},
		{"moved", good.Path, "revise.moved", base("brae-05-1", with(func(c *Change) { c.Old = "max 1 mm" }))},
		{"bounds", good.Path, "revise.bad-bounds", base("brae-05-1", with(func(c *Change) { c.New = "max 1 mm, min 0 mm" }))},
		{"injected", good.Path, "revise.bad-bounds", base("brae-05-1", with(func(c *Change) { c.New = "max 1 mm, x: {" }))},
		{"check", good.Path, "revise.bad-bounds", base("brae-05-1", with(func(c *Change) { c.New = "must pass" }))},
		{"index", "block/bore.limits[7]", "revise.no-limit", base("brae-05-1", with(func(c *Change) { c.Path = "block/bore.limits[7]" }))},
		{"twice", good.Path, "revise.twice", base("brae-05-1", good, good)},
		{"characteristic", "block/none.nominal", "revise.no-characteristic", base("brae-05-1", Change{Path: "block/none.nominal", New: "1 mm"})},
		{"path", "engine", "revise.no-path", base("brae-05-1", Change{Path: "engine", New: "1 mm"})},
		{"a word", "engine.layout", "revise.no-path", base("brae-05-1", Change{Path: "engine.layout", Old: "inline", New: "vee"})},
		{"too deep", "engine.gaskets[9].bore", "revise.no-path", base("brae-05-1", Change{Path: "engine.gaskets[9].bore", New: "1 mm"})},
		{"number", "engine.bore", "revise.not-plain", base("brae-05-1", Change{Path: "engine.bore", Old: "89.000 mm", New: "89mm"})},
		{"count", "engine.mains", "revise.not-whole", base("brae-05-1", Change{Path: "engine.mains", Old: "2", New: "2.5"})},
		{"unit", "engine.bore", "unit.unknown", base("brae-05-1", Change{Path: "engine.bore", Old: "89.000 mm", New: "89 furlong"})},
		{"no finding", "block/bore-unworn.limits[+new]", "revise.no-finding", base("brae-05-1", fill(Change{Path: "block/bore-unworn.limits[+new]", New: "max 1 mm"}))},
		{"add nothing", "block/bore.limits[+new].new", "revise.no-bound", base("brae-05-1", Change{Path: "block/bore.limits[+new]", Reason: "x"})},
		{"id", "id", "revise.bad-id", Patch{Base: "brae-05-1", ID: "../etc/x"}},
		{"base", "id", "revise.other-base", Patch{Base: "corran-24-5", ID: "x"}},
		{"name", "name", "revise.not-a-line", Patch{Base: "brae-05-1", ID: "x", Name: "a\nb"}},
		{"own source", "sources", "revise.bad-source", func() Patch {
			p := base("brae-05-1", good)
			p.Sources = []source.Source{{ID: "own-manual", Kind: "heard", Seen: "read", Title: "x"}}
			return p
		}()},
	} {
		out, faults := Apply(text, c.p)
		if out != nil || keysOf(faults)[c.path] != c.key {
			t.Errorf("%s: %v, want %s at %s", c.name, faults, c.key, c.path)
		}
	}
	for name, text := range map[string]string{
		"alias":  "id: brae-05-1\nx: &q 1 mm\nengine: {bore: *q, stroke: 1 mm}\n",
		"shared": "id: brae-05-1\nengine: &e {bore: 1 mm}\nother: *e\n",
		"folded": "id: brae-05-1\nengine:\n  bore: >-\n    1 mm\n",
	} {
		p := Patch{Base: "brae-05-1", ID: "x", Changes: []Change{{Path: "engine.bore", Old: "1 mm", New: "2 mm"}}}
		if out, faults := Apply([]byte(text), p); out != nil || len(faults) != 1 {
			t.Errorf("%s: %q, %v", name, out, faults)
		}
	}
	if _, faults := Apply([]byte("id: [broken"), Patch{Base: "a", ID: "b"}); len(faults) == 0 || faults[0].Key != "file.syntax" {
		t.Errorf("broken YAML: %v", faults)
	}
}
