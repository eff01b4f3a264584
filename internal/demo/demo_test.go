package demo

import (
	"bytes"
	"maps"
	"math"
	"os"
	"strings"
	"testing"

	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
	"fettle/internal/know/observation"
)

// shelf reads the real knowledge and lays the family of a truth out. Relations
// are not checked here: the demo measures, it derives nothing.
func shelf(t testing.TB, id string) (*library.Library, *family.Layout) {
	t.Helper()
	files := library.Files{}
	for _, name := range []string{"sources.yaml", "materials.yaml", "instruments.yaml", "findings.yaml", "plan.csv", "words/en.yaml"} {
		files[name] = text(t, name)
	}
	lib, faults := library.Read(files, nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	l, faults := lib.Family("family/"+id+".yaml", text(t, "family/"+id+".yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return lib, l
}

func text(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../data/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func load(t testing.TB, name string) Truth {
	t.Helper()
	tr, faults := Load(name+".yaml", text(t, "demo/"+name+".yaml"), "shop.yaml", text(t, "demo/shop.yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return tr
}

func build(t testing.TB, tr Truth, seed uint64, move map[string]string) (Made, *family.Layout, *library.Library) {
	t.Helper()
	lib, l := shelf(t, tr.Family)
	m, faults := Make(tr, l, lib, seed, move)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return m, l, lib
}

var jobs = []string{"2026-014", "2026-021"}

func flat(es []entry.Entry) []byte {
	var b bytes.Buffer
	for i := range es {
		e := &es[i]
		b.WriteString(e.Stream + e.Key.String() + string(e.Kind) + e.Person + e.Device + unit.Format(float64(e.Time), "1", 0))
		b.Write(e.Payload)
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// Law: the same truth and seed give the same bytes, another seed gives others.
func TestSameSeedSameBytes(t *testing.T) {
	for _, name := range jobs {
		tr := load(t, name)
		a, l, lib := build(t, tr, 7, nil)
		b, faults := Make(tr, l, lib, 7, nil)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		if !bytes.Equal(flat(a.Job), flat(b.Job)) || !bytes.Equal(flat(a.Shop), flat(b.Shop)) {
			t.Errorf("%s: seed 7 gave two logs", name)
		}
		c, _ := Make(tr, l, lib, 8, nil)
		if bytes.Equal(flat(a.Job), flat(c.Job)) {
			t.Errorf("%s: seeds 7 and 8 gave one log", name)
		}
	}
}

// Law: every entry can be stored; every reading has a known position and its
// unit, parses, comes in order of time and was taken under the conditions that
// its characteristic asks for; there are 1,000 or more.
func TestReadingsAreReadings(t *testing.T) {
	for _, name := range jobs {
		tr := load(t, name)
		m, l, _ := build(t, tr, uint64(tr.Seed), nil)
		keys := map[entry.Key]bool{}
		var last int64
		for _, es := range [][]entry.Entry{m.Shop, m.Job} {
			for i := range es {
				if err := es[i].Check(); err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				if keys[es[i].Key] {
					t.Fatalf("%s: key %v twice", name, es[i].Key)
				}
				keys[es[i].Key] = true
			}
		}
		s := replay(t, m.Job)
		for i, line := range s.Lines {
			if !line.Known || line.Time < last {
				t.Errorf("%s: entry %d, %s %s, is not understood or out of order", name, i, line.Kind, line.About)
			}
			last = line.Time
		}
		n := 0
		for i := range s.Readings {
			r := &s.Readings[i]
			at, ok := l.Find(r.Position)
			if !ok {
				t.Fatalf("%s: unknown position %s", name, r.Position)
			}
			p := &l.Places[at]
			if p.Char.Relation != "" {
				t.Errorf("%s is derived and was measured", r.Position)
			}
			if p.Char.Quantity != family.Check && r.Quantity.Dim != p.Char.Dim() {
				t.Errorf("%s read in %s", r.Position, r.Unit)
			}
			for _, c := range p.Char.Condition {
				if !contains(r.Condition, c) {
					t.Errorf("%s without %s", r.Position, c)
				}
			}
			if r.Counts() {
				n++
			}
		}
		if n < 1000 {
			t.Errorf("%s: %d readings, want at least 1000", name, n)
		}
		t.Logf("%s: %d readings", name, n)
	}
}

func replay(t testing.TB, es []entry.Entry) *job.State {
	t.Helper()
	rows := make([]entry.Row, len(es))
	var prev entry.Hash
	for i := range es {
		rows[i] = entry.Row{Entry: es[i], Seq: int64(i) + 1, Received: es[i].Time, Prev: prev}
		rows[i].Hash = rows[i].Digest()
		prev = rows[i].Hash
	}
	return job.Replay(rows)
}

// Law: a plant changes the places it covers and no other, by what it says, and
// a moved plant leaves the engine otherwise as it was, reading for reading.
func TestPlantsAreInTheTruth(t *testing.T) {
	tr := load(t, "2026-014")
	bare := tr
	bare.Planted = nil
	a, l, lib := build(t, bare, 3, nil)
	all := tr.measured(l)
	for i := range tr.Planted {
		one := tr
		one.Planted = tr.Planted[i : i+1]
		b, faults := Make(one, l, lib, 3, nil)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		ps, faults := one.plants(l, nil)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		want := maps.Clone(a.True)
		touched := map[string]bool{}
		for k := range one.Planted[0].Changes {
			c := &one.Planted[0].Changes[k]
			for _, p := range ps[0].hits(l, c, all) {
				touched[p.ID] = true
				if !c.As.IsZero() {
					want[p.ID] = c.As.SI()
				}
				if c.Like["axis"] != "" {
					want[p.ID] = want[strings.TrimSuffix(p.ID, p.At[2])+c.Like["axis"]]
				}
				if !c.Add.IsZero() {
					want[p.ID] += c.Add.SI()
				}
			}
		}
		for id, x := range want {
			if d := b.True[id] - x; math.Abs(d) > 1e-12*math.Max(1, math.Abs(x)) {
				t.Errorf("%s makes %s %g, not %g", one.Planted[0].ID, id, b.True[id], x)
			}
		}
		ra, rb := values(replay(t, a.Job)), values(replay(t, b.Job))
		changed := 0
		for spot, x := range rb {
			if ra[spot] == x {
				continue
			}
			changed++
			if id, _, _ := strings.Cut(spot, "\x00"); !touched[id] {
				t.Errorf("%s changed the reading of %s from %s to %s", one.Planted[0].ID, id, ra[spot], x)
			}
		}
		if changed == 0 && len(one.Planted[0].Saw) == 0 {
			t.Errorf("%s changed no reading", one.Planted[0].ID)
		}
	}
}

// Law: the log tells the story: a reading put right with its reason, questions
// answered, what was seen.
func TestLogTellsTheStory(t *testing.T) {
	m, _, _ := build(t, load(t, "2026-014"), 38, nil)
	s := replay(t, m.Job)
	corrected, answered := 0, 0
	for i := range s.Readings {
		r := &s.Readings[i]
		answered += len(r.Answers)
		if r.Instead == "" {
			continue
		}
		old, ok := s.Find(r.Instead)
		if !ok || old.Counts() || old.Reason == "" || old.Position != r.Position {
			t.Errorf("%s corrects %s", r.Position, r.Instead)
			continue
		}
		corrected++
		if d := old.Quantity.SI() - r.Quantity.SI(); math.Abs(d-0.5e-3) > 1e-9 {
			t.Errorf("%s was %g off, not a turn of the thimble", r.Position, d)
		}
	}
	if corrected != 1 || answered != 2 || len(s.Observations) < 15 || len(s.Remarks) == 0 || !s.Invented {
		t.Errorf("%d corrected, %d answered, %d observations, %d notes, invented %v", corrected, answered, len(s.Observations), len(s.Remarks), s.Invented)
	}
}

// Law: whatever people saw in the demonstration, they could see it: the part is
// one of the engine, the kind can be seen on it, the word for how bad is known.
func TestWhatWasSeenCanBe(t *testing.T) {
	text, err := os.ReadFile("../../data/observations.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"2026-014", "2026-021"} {
		m, l, lib := build(t, load(t, name), 38, nil)
		kinds, faults := observation.Read("observations.yaml", text, func(id string) bool { _, ok := lib.Sources[id]; return ok })
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		s := replay(t, m.Job)
		for _, o := range s.Observations {
			comp, _, ok := l.Spot(o.Part)
			k, known := kinds.Kind(o.Kind)
			if !ok || !known || !k.On(comp.ID) || (kinds.Rank(o.Severity) == 0) != o.Absent || o.At != "" && !l.On(comp.ID, o.At) {
				t.Errorf("%s: %+v cannot be", name, o.ObservationV2)
			}
			within := o.Within == ""
			for _, w := range kinds.Places(o.Part[:max(0, strings.Index(o.Part+"/", "/"))]) {
				within = within || w.ID == o.Within
			}
			if !within {
				t.Errorf("%s: %s has no place %s", name, o.Part, o.Within)
			}
		}
		if len(s.Observations) < 4 {
			t.Errorf("%s: only %d observations", name, len(s.Observations))
		}
	}
}

// values is every reading as it was written first, by place and repeat.
func values(s *job.State) map[string]string {
	out := map[string]string{}
	for i := range s.Readings {
		r := &s.Readings[i]
		if r.Instead == "" {
			out[r.Position+"\x00"+unit.Format(float64(r.Ordinal), "1", 0)] = r.Value + " at " + r.PartTemp
		}
	}
	return out
}

// Law: every expectation names places that this family has, and a finding that
// is expected belongs to a characteristic there.
func TestExpectationsHavePlaces(t *testing.T) {
	for _, name := range jobs {
		tr := load(t, name)
		m, l, lib := build(t, tr, uint64(tr.Seed), nil)
		if name == "2026-014" && len(m.Expect) < 13 {
			t.Errorf("%d expectations; 13 things are planted", len(m.Expect))
		}
		for _, e := range m.Expect {
			found, carries := false, e.Finding == ""
			for i := range l.Places {
				p := &l.Places[i]
				if p.ID == e.At || strings.HasPrefix(p.ID, e.At+"/") {
					found = true
					carries = carries || p.Char.Finding == e.Finding
				}
			}
			if !found || !carries {
				t.Errorf("%s expects %s%s at %s, where there is no such thing", e.Plant, e.Finding, e.Question, e.At)
			}
			if _, ok := lib.Findings[e.Finding]; e.Finding != "" && !ok {
				t.Errorf("%s expects the unknown finding %s", e.Plant, e.Finding)
			}
		}
	}
}
