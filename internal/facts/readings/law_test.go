package readings

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
)

// plainText draws what a person may write in one line.
var plainText = rapid.StringOfN(rapid.SampledFrom([]rune(`ab "',;#:µ中😀.`)), 0, 12, -1)

// oneLine draws the text of a declaration, which neither begins nor ends with a
// space and does not end like a row of empty fields.
func oneLine(t *rapid.T, label string) string {
	return strings.Trim(plainText.Draw(t, label), " ,;")
}

// number draws digits as a person types them, with a mark.
func number(t *rapid.T, mark string) string {
	whole := rapid.SampledFrom([]string{"", "-", "+", "−"}).Draw(t, "sign") + rapid.StringMatching(`[0-9]{1,4}`).Draw(t, "whole")
	if decimals := rapid.StringMatching(`[0-9]{0,3}`).Draw(t, "decimals"); decimals != "" {
		return whole + mark + decimals
	}
	return whole
}

func sheets(t *testing.T) *rapid.Generator[Sheet] {
	l := layout(t)
	var places []int
	for i := range l.Places {
		if l.Places[i].Char.Relation == "" {
			places = append(places, i)
		}
	}
	return rapid.Custom(func(t *rapid.T) Sheet {
		s := Sheet{Delimiter: rapid.SampledFrom([]string{Comma, Semicolon, Tab}).Draw(t, "delimiter"),
			Decimal: rapid.SampledFrom([]string{Point, Comma}).Draw(t, "decimal")}
		mark, _ := markOf(s.Decimal)
		if rapid.Bool().Draw(t, "job") {
			s.Job, s.Title = "2026-014", oneLine(t, "title")
		}
		for range rapid.IntRange(0, 2).Draw(t, "notes") {
			s.Notes = append(s.Notes, oneLine(t, "remark"))
		}
		s.People = []shop.PersonV1{{Person: "AK", Initials: "AK", Role: "machinist"}, {Person: "B.L", Initials: "B.L"},
			{Person: "p-1", Initials: "RS", Role: "builder"}, {Person: "p-2", Initials: "TU"}}
		s.Gauges = []shop.GaugeV1{{Gauge: "B02", Type: "bore-gauge", Master: "M07"}, {Gauge: "M07", Type: "micrometer", Serial: "12/3 b"}}
		for i := range rapid.IntRange(1, 8).Draw(t, "rows") {
			c := l.Places[rapid.SampledFrom(places).Draw(t, "place")]
			r := Row{Person: rapid.SampledFrom([]string{"AK", "B.L", ""}).Draw(t, "person"), Time: 1_700_000_000_000_000 + int64(i)}
			r.Position = c.ID
			r.State = rapid.SampledFrom([]string{"found", "built", "after(bore-1)"}).Draw(t, "state")
			r.Gauge = rapid.SampledFrom([]string{"", "B02", "M07"}).Draw(t, "gauge")
			r.Note = plainText.Draw(t, "note") + rapid.SampledFrom([]string{"", "\n", "\tx\n y"}).Draw(t, "line end")
			if rapid.Bool().Draw(t, "conditions") {
				r.Condition = []string{"caps-tight", "torque-plate"}
			}
			if c.Char.Quantity == "check" {
				r.Value = rapid.SampledFrom([]string{"pass", "fail"}).Draw(t, "check")
				r.Typed = r.Value
			} else {
				typed, name := number(t, string(mark)), rapid.SampledFrom(unit.Names(c.Char.Dim())).Draw(t, "unit")
				if name == "nm" {
					name = "um" // another spelling of µm
				}
				q, err := unit.Parse(typed, name, mark)
				if err != nil {
					t.Fatal(err)
				}
				r.Typed, r.Value, r.Unit = typed+" "+name, q.Text, q.Unit
			}
			if rapid.Bool().Draw(t, "warm") {
				r.PartTemp, r.GaugeTemp = "19.5", "-0.25"
			}
			s.Readings = append(s.Readings, r)
		}
		return s
	})
}

// Law: what is written is read back as it was, and writing it again gives the
// same bytes.
func TestRoundTrip(t *testing.T) {
	gen := sheets(t)
	l := layout(t)
	rapid.Check(t, func(t *rapid.T) {
		s := gen.Draw(t, "sheet")
		text := Write(s)
		got, faults := Parse("r", text, l, nil)
		if len(faults) > 0 {
			t.Fatalf("%v\n%s", faults, text)
		}
		for i := range got.Readings {
			if got.Readings[i].Line == 0 {
				t.Fatalf("reading %d has no line", i)
			}
			got.Readings[i].Line = 0
		}
		if d := cmp.Diff(s, got); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
		if again := Write(got); string(again) != string(text) {
			t.Fatalf("written again:\n%s\nafter\n%s", again, text)
		}
	})
}

// Law: a sheet that names no marks, with nothing typed, is written in points
// between commas from its canonical values.
func TestWriteCanonical(t *testing.T) {
	s := Sheet{Readings: []Row{{ReadingV1: job.ReadingV1{Position: "block/bore/1/H1/T", State: "found", Value: "83.010", Unit: "mm"}}}}
	want := "# fettle readings 1\n# delimiter: comma\n# decimal: point\n" + strings.Join(header(), ",") + "\nblock/bore/1/H1/T,found,83.010,mm,,,,,,,,\n"
	if got := string(Write(s)); got != want {
		t.Errorf("got %q", got)
	}
	s.Decimal, s.Readings[0].Typed = Comma, "83.010 mm" // typed with the other mark
	if got := string(Write(s)); !strings.Contains(got, `"83,010",mm`) {
		t.Errorf("got %q", got)
	}
	s.Readings[0].Typed = "83,020 mm" // does not say what was understood
	if got := string(Write(s)); !strings.Contains(got, `"83,010",mm`) {
		t.Errorf("got %q", got)
	}
}

// Law: on every text the splitter agrees with the standard library's reader of
// RFC 4180, records, places and refusals alike.
func TestSplitterAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(rapid.SampledFrom([]string{"a", "bc", ",", ",", `"`, `"`, "\n", "\r\n", "\r", " "})).Draw(t, "text"), "")
		r := csv.NewReader(strings.NewReader(text))
		r.FieldsPerRecord = -1
		var want []string
		var refused error
		for {
			rec, err := r.Read()
			if err != nil {
				if err.Error() != "EOF" {
					refused = err
				}
				break
			}
			for i := range rec {
				line, col := r.FieldPos(i)
				want = append(want, fmt.Sprintf("%d:%d %q", line, col, rec[i]))
			}
		}
		sp := splitter{s: text, comma: ',', line: 1}
		var got []string
		slips := 0
		for sp.more() {
			before := sp.off
			fields, bad := sp.record()
			if sp.off <= before {
				t.Fatalf("%q: no progress at %d", text, before)
			}
			if bad != nil {
				slips++
			}
			for _, f := range fields {
				got = append(got, fmt.Sprintf("%d:%d %q", f.line, column(text, f.start, f.at), f.text))
			}
		}
		if (refused != nil) != (slips > 0) {
			t.Fatalf("%q: %d slips, the standard library says %v", text, slips, refused)
		}
		if refused == nil && !slices.Equal(got, want) {
			t.Fatalf("%q:\ngot  %v\nwant %v", text, got, want)
		}
	})
}

// Law: edit distance is a metric that counts single changes.
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"abc", "abc", 0}, {"abc", "abd", 1}, {"abc", "ab", 1}, {"ab", "abc", 1}, {"kitten", "sitting", 3}, {"abcdef", "ghijkl", 5}} {
		if d := distance(c.a, c.b, 5); d != c.want {
			t.Errorf("distance(%q, %q) = %d, want %d", c.a, c.b, d, c.want)
		}
	}
	word := rapid.StringMatching(`[ab/]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")
		d := func(x, y string) int { return distance(x, y, 100) }
		if d(a, b) != d(b, a) || (d(a, b) == 0) != (a == b) || d(a, c) > d(a, b)+d(b, c) {
			t.Fatalf("%q %q %q: %d %d %d", a, b, c, d(a, b), d(b, c), d(a, c))
		}
		if bound := 3; distance(a, b, bound) != min(bound, d(a, b)) {
			t.Fatalf("%q %q: bounded %d, whole %d", a, b, distance(a, b, bound), d(a, b))
		}
	})
}

// Law: no text makes the reader panic; what it accepts are plain finite decimals
// that the unit package reads alike; what it refuses has a place in the text.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"", head, head + good, head + row(colValue, "NaN"), head + row(colNote, "\"a\n\"\"b\""), "# fettle readings 1\n#\n# gauge\n# person : x\n",
		strings.ReplaceAll(head+good, ",", "\t"), head + row(colNote, "\"") + "\x00\xff", "PK", "#", "\"#", head + "\"\"\"\n\r\n\r"} {
		f.Add([]byte(s))
	}
	l := layout(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		s, faults := Parse("f", text, l, nil)
		checkFaults(t, string(text), faults)
		if (len(faults) == 0) != (len(s.Readings) > 0) {
			t.Fatalf("%d faults, %d readings", len(faults), len(s.Readings))
		}
		for _, r := range s.Readings {
			if r.Unit == "" {
				if r.Value != "pass" && r.Value != "fail" {
					t.Fatalf("value %q without unit", r.Value)
				}
				continue
			}
			q, err := unit.Parse(r.Value, r.Unit, '.')
			if err != nil || q.Text != r.Value || strings.Trim(r.Value, "-.0123456789") != "" {
				t.Fatalf("accepted %q %q: %v", r.Value, r.Unit, err)
			}
		}
		if len(faults) == 0 {
			j, _, err := s.ToState(job.OpenedV1{Job: "j", Family: "f"})
			if err != nil || len(j.Readings) != len(s.Readings) {
				t.Fatalf("%d readings became %d: %v", len(s.Readings), len(j.Readings), err)
			}
			again, faults := Parse("f", Write(s), l, nil)
			for i := range again.Readings {
				again.Readings[i].Line = s.Readings[i].Line
			}
			if d := cmp.Diff(s, again); d != "" || len(faults) > 0 {
				t.Fatalf("%v\n%s\n%s", faults, d, Write(s))
			}
		}
	})
}

func checkFaults(t *testing.T, text string, faults fault.List) {
	t.Helper()
	lines := strings.Count(text, "\n") + 1
	for _, f := range faults {
		if f.Line < 1 || f.Line > lines || f.Col < 1 || f.File != "f" {
			t.Fatalf("%v has no place in %d lines", f, lines)
		}
	}
}
