package revise

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/family"
	"fettle/internal/know/source"
)

var validator = sync.OnceValue(func() *jsonschema.Schema { return family.Validator() })

func read(t testing.TB, text []byte) *family.Family {
	t.Helper()
	l, faults := family.Parse("family/x.yaml", text, validator(), family.Known{})
	if len(faults) > 0 {
		t.Fatalf("%v", faults[:min(3, len(faults))])
	}
	return l.Family
}

// bump is a quantity one last digit larger.
func bump(q unit.Quantity) string {
	digits := []byte(strings.TrimPrefix(q.Text, "-"))
	for i := len(digits) - 1; ; i-- {
		if digits[i] == '.' {
			continue
		}
		if digits[i] != '9' {
			digits[i]++
			break
		}
		digits[i] = '0'
		if i == 0 {
			digits = append([]byte{'1'}, digits...)
			break
		}
	}
	if strings.HasPrefix(q.Text, "-") {
		return "-" + string(digits) + " " + q.Unit
	}
	return string(digits) + " " + q.Unit
}

// everything lists a change for every figure of size, nominal and limit.
func everything(f *family.Family) []Change {
	var out []Change
	for _, g := range Figures(&f.Engine) {
		if q, err := unit.Parse(g.Text, "", '.'); g.Kind == Size && g.Text != "" && err == nil {
			out = append(out, Change{Path: g.Path, Old: g.Text, New: bump(q)})
		}
	}
	for i := range f.Characteristics {
		c := &f.Characteristics[i]
		if !c.Nominal.IsZero() {
			out = append(out, Change{Path: c.ID + ".nominal", Old: c.Nominal.String(), New: bump(c.Nominal)})
		}
		for k := range c.Limits {
			b := Of(&c.Limits[k])
			ch := Change{Path: fmt.Sprintf("%s.limits[%d]", c.ID, k), Old: b.String(), Source: "own-manual", Status: cite.CopiedTable}
			if b.Must {
				ch.Reason, ch.Source, ch.Status = "not looked at here", "", ""
				out = append(out, ch)
				continue
			}
			if (i+k)%4 == 0 {
				ch.New = ch.Old // the same bounds, known from elsewhere
				out = append(out, ch)
				continue
			}
			if !b.Max.IsZero() {
				b.Max = must(bump(b.Max))
			} else {
				b.Min = must(bump(b.Min))
			}
			ch.New = b.String()
			out = append(out, ch)
		}
	}
	return out
}

func must(text string) unit.Quantity {
	q, err := exact(text)
	if err != nil {
		panic(err)
	}
	return q
}

// Law: whatever part of all that can be changed is changed, the new family
// differs from the old in exactly that, and a family differs in nothing from
// itself.
func TestLawDifferenceIsThePatch(t *testing.T) {
	for _, id := range []string{"corran-24-5", "tarn-32-6", "skerry-40-8", "brae-05-1"} {
		text := shipped(t, id)
		old := read(t, text)
		if d := Diff(old, old); len(d) > 0 {
			t.Errorf("%s differs from itself: %+v", id, d)
		}
		all := everything(old)
		if len(all) < 100 {
			t.Fatalf("%s: only %d things to change", id, len(all))
		}
		chance := rand.New(rand.NewPCG(1, uint64(len(all))))
		for _, share := range []int{0, 1, 5, 10} {
			p := base(id)
			p.Sources = manual()[:1]
			for _, c := range all {
				if chance.IntN(10) < share {
					p.Changes = append(p.Changes, c)
				}
			}
			out, faults := Apply(text, p)
			if len(faults) > 0 {
				t.Fatalf("%v", faults[:min(3, len(faults))])
			}
			fresh, faults := family.Parse("family/x.yaml", out, validator(), family.Known{})
			if len(faults) > 0 {
				t.Fatalf("%v", faults[:min(3, len(faults))])
			}
			want, labelled := []string{"head id", "head name"}, false
			for _, c := range p.Changes {
				what := "figure " + c.Path
				if Char(c.Path) != "" {
					what = "nominal " + c.Path
					if strings.Contains(c.Path, ".limits[") {
						what = "limit " + c.Path[:strings.Index(c.Path, "[")]
						labelled = labelled || c.New != ""
					}
				}
				want = append(want, what+" "+c.Old+" > "+c.New)
			}
			var got []string
			for _, d := range Diff(old, fresh.Family) {
				switch {
				case d.What == Head:
					got = append(got, "head "+d.Path)
				case d.What == Source:
					got = append(got, "source")
				case d.What == Limit && d.New != "" && (d.Source != "own-manual" || d.Status != cite.CopiedTable || d.OldSource != "invented-demo"):
					t.Errorf("%s is labelled %q %q, was %q", d.Path, d.Source, d.Status, d.OldSource)
					fallthrough
				default:
					got = append(got, string(d.What)+" "+d.Path+" "+d.Old+" > "+d.New)
				}
			}
			if labelled {
				want = append(want, "source")
			}
			slices.Sort(want)
			slices.Sort(got)
			if !slices.Equal(want, got) {
				for i := range min(len(want), len(got)) {
					if want[i] != got[i] {
						t.Fatalf("want %s, got %s", want[i], got[i])
					}
				}
				t.Fatalf("want %d differences, got %d", len(want), len(got))
			}
		}
		if testing.Short() {
			return
		}
	}
}

// Law: no line of a family file can be another and go unsaid. Each value of the
// smallest family is changed in its text, one at a time; where the file is still
// one, the two differ.
func TestLawNoDifferenceGoesUnsaid(t *testing.T) {
	text := string(shipped(t, "brae-05-1"))
	old := read(t, []byte(text))
	tried, said := 0, 0
	for i := 0; i < len(text); i++ {
		// One digit in each number, one letter in each word behind a colon.
		if !(text[i] >= '0' && text[i] <= '8') || i == 0 || text[i-1] != ' ' && text[i-1] != '.' {
			continue
		}
		line := text[strings.LastIndexByte(text[:i], '\n')+1 : i]
		if strings.Contains(line, "#") {
			continue
		}
		if tried++; tried%61 != 0 {
			continue
		}
		other := text[:i] + string(text[i]+1) + text[i+1:]
		l, faults := family.Parse("family/x.yaml", []byte(other), validator(), family.Known{})
		if len(faults) > 0 {
			continue
		}
		said++
		if len(Diff(old, l.Family)) == 0 {
			t.Errorf("unsaid: %s[%c]", line, text[i]+1)
		}
	}
	if said < 8 {
		t.Errorf("only %d values tried", said)
	}
}

func TestKeyOfTitle(t *testing.T) {
	taken := map[cite.Key]bool{"manual-2": true, "manual": true}
	for title, want := range map[string]cite.Key{
		"Workshop manual, 3rd edition (1998)": "workshop-manual-3rd-edition-1998", "Größen & Maße": "groessen-masse", "Manual": "manual-3", "—": "source"} {
		if got := KeyOf(title, func(k cite.Key) bool { return taken[k] }); got != want || !ids.MatchString(string(got)) {
			t.Errorf("%q becomes %s, want %s", title, got, want)
		}
	}
	if k := KeyOf(strings.Repeat("long word ", 30), func(cite.Key) bool { return false }); len(k) > 48 || !ids.MatchString(string(k)) {
		t.Errorf("a long title becomes %s", k)
	}
}

// FuzzApply: whatever file and patch it is given, Apply neither falls nor gives
// back a text that says anything else than what was asked; a patch is refused
// with a fault, never with nothing.
func FuzzApply(f *testing.F) {
	for _, text := range styles() {
		for _, c := range []Change{{Path: "engine.bore", Old: "80 mm", New: "81 mm"}, {Path: "b/c.limits[0]", Old: "min 1 mm, max 2 mm", Reason: "r"},
			{Path: "b/c.limits[1]", Old: "max 3 mm", New: "min 1 mm", Source: "s", Status: "from memory"}, {Path: "b/c.limits[+new]", New: "max 3 mm", Source: "s", Status: "from memory"}} {
			b, err := json.Marshal(Patch{Base: "a", ID: "b", Name: "N", Changes: []Change{c}, Sources: []source.Source{{ID: "s", Kind: "book", Seen: "own", Title: "T"}}})
			if err != nil {
				f.Fatal(err)
			}
			f.Add([]byte(text), b)
		}
	}
	f.Fuzz(func(t *testing.T, text, patch []byte) {
		var p Patch
		if json.Unmarshal(patch, &p) != nil {
			return
		}
		before := bytes.Clone(text)
		out, faults := Apply(text, p)
		if !bytes.Equal(before, text) {
			t.Fatal("the base was written to")
		}
		if (out == nil) != (len(faults) > 0) {
			t.Fatalf("%d bytes and %d faults", len(out), len(faults))
		}
		for _, x := range faults {
			if x.Code != fault.Invalid && x.Code != fault.TooLarge {
				t.Fatalf("%v", x)
			}
		}
		if out == nil {
			return
		}
		again, faults := Apply(text, p)
		if len(faults) > 0 || !bytes.Equal(out, again) {
			t.Fatal("the same patch gives another text")
		}
		// What is not asked for stays: a patch without changes on the result,
		// under the same id, adds the line of what it revises and nothing else.
		q := Patch{Base: p.ID, ID: p.ID + "x"}
		if same, faults := Apply(out, q); len(faults) == 0 && len(same) > len(out)+1 {
			t.Fatal("a patch of nothing adds something")
		}
	})
}
