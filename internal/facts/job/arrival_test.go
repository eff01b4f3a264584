package job

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"fettle/internal/facts/entry"
)

// arrivals is one of each payload before the measuring, every field filled.
func arrivals() map[entry.Kind]any {
	return map[entry.Kind]any{
		entry.Intake: IntakeV1{History: &HistoryV1{Km: "1", Hours: "2", Opened: "o", By: "b", Use: "u", Symptoms: "s"}, Item: &ItemV1{Name: "n", Count: 1, Missing: "m"},
			Said: &WordsV1{Text: "t", Part: "p"}, Saw: &WordsV1{Text: "t", Part: "p"}, Number: &NumberV1{Where: "w", Text: "t"}, Kept: &KeptV1{What: "oil", Note: "n"},
			Drained: &DrainedV1{Amount: "a", Note: "n"}, Panel: &PanelV1{Test: "t", At: "1", Rpm: "900", Typed: "1 bar", Value: "1", Unit: "bar", Note: "n"},
			Hold: &HoldV1{Held: true, Why: "w", Parts: []string{"crank"}}, Instead: "k", Reason: "r"},
		entry.Signed:  SignedV1{Covers: "contents", Digest: "d", Lines: 1, Name: "n", Role: "customer"},
		entry.Tagged:  TaggedV1{Tag: "K7M3QW", Part: "rod/1", Made: "rod/2", Reason: "r"},
		entry.Cleaned: CleanedV1{Part: "crank", Process: "p", Checks: []string{"c"}, Note: "n", Reason: "r"},
		entry.Tested: TestedV1{Part: "crank", Method: "m", Result: Recordable, By: "b", Indications: []IndicationV1{{At: "crank", X: "0.5", Y: "0.5", Says: "s"}},
			Note: "n"},
		entry.Overridden: OverriddenV1{Gate: "lash", Part: "cam", Open: 3, Reason: "r"},
	}
}

// Law: each payload comes back from its canonical bytes as it went in, with no
// field left empty.
func TestArrivalPayloadsRoundTrip(t *testing.T) {
	for kind, p := range arrivals() {
		v := reflect.ValueOf(p)
		for i := range v.NumField() {
			if v.Field(i).IsZero() {
				t.Errorf("%s: the test leaves %s empty", kind, v.Type().Field(i).Name)
			}
		}
		l := &log{t: t}
		l.add(kind, p)
		back := reflect.New(v.Type())
		if !decode(l.rows[0].Payload, back.Interface()) {
			t.Fatalf("%s: not understood", kind)
		}
		if d := cmp.Diff(p, back.Elem().Interface()); d != "" {
			t.Errorf("%s: %s", kind, d)
		}
	}
}

func item(name string) IntakeV1 { return IntakeV1{Item: &ItemV1{Name: name, Count: 1}} }

// Law: a list of contents is what was added, less what was struck out, with
// each replaced line in the place of its replacement; an earlier state is left
// as it was.
func TestContentsAreCorrectedByLaterEntries(t *testing.T) {
	l := &log{t: t}
	a, b := l.add(entry.Intake, item("engine")), l.add(entry.Intake, item("bolts"))
	before := Replay(l.rows)
	n := len(l.rows)
	instead := item("bolts, 214")
	instead.Instead, instead.Reason = b, "counted"
	l.add(entry.Intake, instead)
	l.add(entry.Intake, IntakeV1{Instead: a, Reason: "another job's"})
	s := before.With(l.rows[n:])
	if d := cmp.Diff(Replay(l.rows).Arrival, s.Arrival); d != "" {
		t.Error(d)
	}
	list := s.Of(TopicItem)
	if len(list) != 1 || list[0].Item.Name != "bolts, 214" {
		t.Errorf("%d lines", len(list))
	}
	if len(before.Of(TopicItem)) != 2 {
		t.Error("the earlier state was touched")
	}
}

// Law: a signature holds for the list it was put under, and for no other.
func TestSignatureCoversWhatStoodThere(t *testing.T) {
	l := &log{t: t}
	l.add(entry.Intake, item("engine"))
	digest := Replay(l.rows).ContentsDigest()
	// Synthetic: sha256sum of {"contents":[{"count":1,"name":"engine"}]}
	if want := "36b785d7f519cb074de8758bff800e992a01098c03b12b0bac25565991b4ba26"; digest != want {
		t.Errorf("the digest is %s, want %s", digest, want)
	}
	sign := SignedV1{Covers: Contents, Digest: digest, Lines: 1, Name: "A. Customer", Role: "customer"}
	l.add(entry.Signed, sign)
	s := Replay(l.rows)
	if _, holds := s.Signature(); !holds || !s.Lines[1].Known {
		t.Error("the signature does not hold")
	}
	key := l.add(entry.Intake, item("starter"))
	if sig, holds := Replay(l.rows).Signature(); sig == nil || holds {
		t.Error("the signature covers a line that came later")
	}
	l.add(entry.Signed, sign)
	if s := Replay(l.rows); len(s.Signatures) != 1 || s.Lines[3].Known {
		t.Error("a signature under a list that is not there was taken")
	}
	l.add(entry.Intake, IntakeV1{Instead: key, Reason: "not ours"})
	if _, holds := Replay(l.rows).Signature(); !holds {
		t.Error("the list is as it was signed, and the signature does not hold")
	}
}

// Law: what cannot be is kept and changes nothing.
func TestArrivalNotUnderstood(t *testing.T) {
	two := item("engine")
	two.Said = &WordsV1{Text: "t"}
	for name, add := range map[string]func(l *log, k string){
		"two things in one":         func(l *log, _ string) { l.add(entry.Intake, two) },
		"nothing at all":            func(l *log, _ string) { l.add(entry.Intake, IntakeV1{}) },
		"in the place of nothing":   func(l *log, _ string) { l.add(entry.Intake, IntakeV1{Instead: "00", Reason: "r"}) },
		"struck out without reason": func(l *log, k string) { l.add(entry.Intake, IntakeV1{Instead: k}) },
		"of another sort": func(l *log, k string) {
			l.add(entry.Intake, IntakeV1{Said: &WordsV1{Text: "t"}, Instead: k, Reason: "r"})
		},
		"a panel without a number": func(l *log, _ string) {
			l.add(entry.Intake, IntakeV1{Panel: &PanelV1{Test: "c", At: "1", Value: "x", Unit: "bar"}})
		},
		"a panel without a unit":   func(l *log, _ string) { l.add(entry.Intake, IntakeV1{Panel: &PanelV1{Test: "c", At: "1", Value: "1"}}) },
		"a tag without a label":    func(l *log, _ string) { l.add(entry.Tagged, TaggedV1{Part: "rod/1"}) },
		"another's label, no word": func(l *log, _ string) { l.add(entry.Tagged, TaggedV1{Tag: "x", Part: "rod/1", Made: "rod/2"}) },
		"a test that says maybe":   func(l *log, _ string) { l.add(entry.Tested, TestedV1{Part: "rod/1", Method: "m", Result: "maybe"}) },
		"cleaned by nothing":       func(l *log, _ string) { l.add(entry.Cleaned, CleanedV1{Part: "rod/1"}) },
		"a gate without a reason":  func(l *log, _ string) { l.add(entry.Overridden, OverriddenV1{Gate: "lash", Reason: " "}) },
		"a field of no version":    func(l *log, _ string) { l.add(entry.Tagged, map[string]any{"tag": "x", "part": "p", "more": 1}) },
	} {
		l := &log{t: t}
		k := l.add(entry.Intake, item("engine"))
		before := Replay(l.rows).Arrival
		add(l, k)
		s := Replay(l.rows)
		if s.Lines[1].Known {
			t.Errorf("%s: understood", name)
		}
		if d := cmp.Diff(before, s.Arrival); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}

// Law: the last word on a hold and on a tag counts; a hold of all holds each.
func TestLastWordCounts(t *testing.T) {
	l := &log{t: t}
	l.add(entry.Intake, IntakeV1{Hold: &HoldV1{Held: true, Why: "dispute"}})
	l.add(entry.Intake, IntakeV1{Hold: &HoldV1{Held: false, Why: "settled", Parts: []string{"crank"}}})
	l.add(entry.Tagged, TaggedV1{Tag: "AAAAAA", Part: "rod/1"})
	l.add(entry.Tagged, TaggedV1{Tag: "BBBBBB", Part: "rod/1", Made: "rod/2", Reason: "r"})
	s := Replay(l.rows)
	if s.Held("crank") != nil || s.Held("rod") == nil {
		t.Error("the hold")
	}
	if s.Tag("rod/1").Tag != "BBBBBB" || s.Wearer("BBBBBB") != "rod/1" || s.Wearer("AAAAAA") != "" {
		t.Error("the tag")
	}
}

// Law: every single wrong letter and every exchange of two is found, and a
// label reads back however it is typed.
func TestLabels(t *testing.T) {
	if strings.ContainsAny(alphabet, "0O1I") || len(alphabet) != 32 {
		t.Fatalf("the alphabet is %q", alphabet)
	}
	rapid.Check(t, func(t *rapid.T) {
		l := label(rapid.StringN(1, 12, -1).Draw(t, "job"), rapid.StringN(1, 30, -1).Draw(t, "part"), 0)
		for _, typed := range []string{l, strings.ToLower(l), l[:5] + "-" + l[5:], " " + l + "\n", "http://shop:8430/l/2026-014/" + l} {
			if got, ok := ReadLabel(typed); !ok || got != l {
				t.Fatalf("%q read as %q", typed, got)
			}
		}
		for i := range len(l) {
			for k := range len(alphabet) {
				if b := []byte(l); b[i] != alphabet[k] {
					b[i] = alphabet[k]
					if _, ok := ReadLabel(string(b)); ok {
						t.Fatalf("%s was taken for %s", b, l)
					}
				}
			}
			for k := range i {
				if b := []byte(l); b[i] != b[k] {
					b[i], b[k] = b[k], b[i]
					if _, ok := ReadLabel(string(b)); ok {
						t.Fatalf("%s was taken for %s", b, l)
					}
				}
			}
		}
	})
}

// Law: no two parts of a job have one label, and a label does not hang on the
// order in which they are asked for.
func TestLabelsAreDifferent(t *testing.T) {
	var parts, back []string
	for i := range 5000 {
		parts = append(parts, "valve/"+strings.Repeat("x", i%7)+string(rune('a'+i%26))+"/"+strings.Repeat("y", i/26))
	}
	for i := range parts {
		back = append(back, parts[len(parts)-1-i])
	}
	labels := Labels("2026-014", parts)
	if d := cmp.Diff(labels, Labels("2026-014", back)); d != "" {
		t.Error(d)
	}
	seen := map[string]string{}
	for p, l := range labels {
		if q, ok := seen[l]; ok {
			t.Errorf("%s and %s are both %s", p, q, l)
		}
		seen[l] = p
	}
}

// Law: a zone is the zone of its own point.
func TestZones(t *testing.T) {
	n := 0
	for _, row := range ZoneRows {
		for col := range ZoneColumns {
			name := string(row) + string(rune('1'+col))
			x, y, ok := Zone(strings.ToLower(name))
			if !ok || ZoneOf(x, y) != name {
				t.Errorf("%s lies in %s", name, ZoneOf(x, y))
			}
			n++
		}
	}
	for _, bad := range []string{"", "A", "A0", "A9", "G1", "1A", "A11"} {
		if _, _, ok := Zone(bad); ok {
			t.Errorf("%q is a zone", bad)
		}
	}
	if n != 48 {
		t.Error(n)
	}
}
