package readings

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
)

const head = `# fettle readings 1
# delimiter: comma
# decimal: point
# job: 2026-014 Hillclimb five
# person AK: machinist
# gauge M07: micrometer, serial 0815/7
# gauge B02: bore-gauge, set on M07
position,state,value,unit,gauge,master,part_temp,gauge_temp,condition,person,time,note
`

const good = "block/bore/1/H1/T,found,83.012,mm,B02,M07,19.5,19.5,caps-tight torque-plate,AK,2026-11-24T10:31:00+01:00,\n"

// The expected sheet is written out by hand.
func TestParse(t *testing.T) {
	text := "\ufeff" + head + good +
		"block/bore/1/H1/P,after(bore-1),3.2681,in,,,,,,,,\"first line\r\nsecond, with a comma and \"\"quotes\"\"\"\r\n" +
		"\n" +
		"block/crack,found,pass,,,,,,,AK,,\n" +
		"block/bore/1/H2/T,built,+0.1,thou,,,-5,60,,,,"
	got, faults := Parse("readings.csv", []byte(text), layout(t), nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	want := Sheet{Job: "2026-014", Title: "Hillclimb five", Delimiter: "comma", Decimal: "point",
		People: []shop.PersonV1{{Person: "AK", Initials: "AK", Role: "machinist"}},
		Gauges: []shop.GaugeV1{{Gauge: "M07", Type: "micrometer", Serial: "0815/7"},
			{Gauge: "B02", Type: "bore-gauge", Master: "M07"}},
		Readings: []Row{
			{ReadingV1: job.ReadingV1{Position: "block/bore/1/H1/T", State: "found", Typed: "83.012 mm", Value: "83.012", Unit: "mm",
				Gauge: "B02", Master: "M07", PartTemp: "19.5", GaugeTemp: "19.5", Condition: []string{"caps-tight", "torque-plate"}},
				Person: "AK", Time: time.Date(2026, 11, 24, 9, 31, 0, 0, time.UTC).UnixMicro(), Line: 9},
			{ReadingV1: job.ReadingV1{Position: "block/bore/1/H1/P", State: "after(bore-1)", Typed: "3.2681 in", Value: "3.2681", Unit: "in",
				Note: "first line\nsecond, with a comma and \"quotes\""}, Line: 10},
			{ReadingV1: job.ReadingV1{Position: "block/crack", State: "found", Typed: "pass", Value: "pass"}, Person: "AK", Line: 13},
			{ReadingV1: job.ReadingV1{Position: "block/bore/1/H2/T", State: "built", Typed: "+0.1 thou", Value: "0.1", Unit: "thou",
				PartTemp: "-5", GaugeTemp: "60"}, Line: 14},
		}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// One sheet in comma decimals between semicolons and one in point decimals
// between tabs mean the same.
func TestDeclaredMarks(t *testing.T) {
	comma := strings.NewReplacer("delimiter: comma", "delimiter: semicolon", "decimal: point", "decimal: comma",
		"83.012", "83,012", "19.5", "19,5").Replace(head + good)
	comma = head2(comma, ";")
	tab := head2(strings.Replace(head+good, "delimiter: comma", "delimiter: tab", 1), "\t")
	a, fa := Parse("a", []byte(comma), layout(t), nil)
	b, fb := Parse("b", []byte(tab), layout(t), nil)
	if len(fa)+len(fb) > 0 {
		t.Fatal(fa, fb)
	}
	ra, rb := a.Readings[0], b.Readings[0]
	if ra.Typed != "83,012 um" && ra.Typed != "83,012 mm" || ra.PartTemp != "19.5" {
		t.Errorf("typed %q, temperature %q", ra.Typed, ra.PartTemp)
	}
	ra.Typed = rb.Typed
	if d := cmp.Diff(ra, rb); d != "" {
		t.Error(d)
	}
}

// head2 puts another delimiter into the table below the declarations.
func head2(text, delimiter string) string {
	i := strings.Index(text, "position,")
	table := text[i:]
	if delimiter == ";" { // keep decimal commas
		table = strings.NewReplacer("83,012", "83|012", "19,5", "19|5").Replace(table)
	}
	return text[:i] + strings.ReplaceAll(strings.ReplaceAll(table, ",", delimiter), "|", ",")
}

// row makes a good row with one column replaced.
func row(col int, text string) string {
	f := strings.Split(strings.TrimSuffix(good, "\n"), ",")
	f[col] = text
	return strings.Join(f, ",") + "\n"
}

// Law: each bad input is refused with its own sentence at its own place.
func TestBadInput(t *testing.T) {
	var zipped bytes.Buffer
	z := gzip.NewWriter(&zipped)
	z.Write(make([]byte, 1<<20))
	z.Close()
	lines := strings.SplitAfter(head, "\n")
	without := func(i int) string { return strings.Join(slices.Delete(slices.Clone(lines), i, i+1), "") }
	check := "block/crack,found,%s,%s,,,,,,,,\n"
	for _, c := range []struct {
		name, text string
		want       []string // line:column key
	}{
		{"empty", "", []string{"1:1 readings.empty"}},
		{"only a mark of order and spaces", "\ufeff \r\n\n", []string{"1:1 readings.empty"}},
		{"zip", "PK\x03\x04" + strings.Repeat("\x00", 100), []string{"1:1 readings.archive"}},
		{"gzip", zipped.String(), []string{"1:1 readings.archive"}},
		{"UTF-16", "\xff\xfe#\x00 \x00", []string{"1:1 readings.archive"}},
		{"NUL in the first line", "# fet\x00tle", []string{"1:6 readings.nul"}},
		{"NUL in a row", head + row(colNote, "a\x00b") + row(colPosition, "x"), []string{"9:107 readings.nul", "10:1 readings.no-such-position"}},
		{"not UTF-8", head + row(colNote, "5 \xb5m"), []string{"9:108 readings.encoding"}},
		{"control character", head + row(colNote, "µ\x07"), []string{"9:107 readings.control"}},
		{"bare carriage return", head + strings.Replace(good, "found", "fo\rund", 1), []string{"9:21 readings.control"}},

		{"other first line", "# fettle readings 2\n" + without(0) + good, []string{"1:1 readings.format"}},
		{"no first line", without(0) + good, []string{"1:1 readings.format"}},
		{"no delimiter", without(1) + good, []string{"7:1 readings.no-delimiter-shown"}},
		{"no delimiter, no rows", without(1), []string{"7:1 readings.no-delimiter"}},
		{"no decimal", without(2) + good, []string{"7:1 readings.no-decimal-shown"}},
		{"no decimal, and an unknown unit", without(2) + row(colUnit, "furlong"), []string{"7:1 readings.no-decimal-shown", "8:32 unit.unknown"}},
		{"no decimal, whole numbers", without(2) + "block/bore/1/H1/T,found,83,mm,,,,,,,,\n", []string{"7:1 readings.no-decimal"}},
		{"bad delimiter", strings.Replace(head, "delimiter: comma", "delimiter: ,", 1) + good, []string{"2:14 readings.bad-declaration", "8:1 readings.no-delimiter-shown"}},
		{"bad decimal", strings.Replace(head, "decimal: point", "decimal: dot", 1) + good, []string{"3:12 readings.bad-declaration", "8:1 readings.no-decimal-shown"}},
		{"declared twice", strings.Replace(head, "# job", "# decimal: comma\n# job", 1) + good, []string{"4:1 readings.duplicate-declaration"}},
		{"unknown declaration", strings.Replace(head, "# job", "# jobs", 1) + good, []string{"4:1 readings.unknown-declaration"}},
		{"bad job", strings.Replace(head, "2026-014", "20/26", 1) + good, []string{"4:8 readings.bad-id"}},
		{"bad person", strings.Replace(head, "person AK", "person A+K", 1) + row(colPerson, ""), []string{"5:1 readings.bad-id"}},
		{"bad gauge", strings.Replace(head, "gauge M07", "gauge M 07", 1) + row(colMaster, ""), []string{"6:1 readings.bad-id", "7:33 readings.unknown-gauge"}},
		{"bad gauge type", strings.Replace(head, "bore-gauge, set", "bore gauge, set", 1) + row(colGauge, "M07"), []string{"7:14 readings.bad-declaration"}},
		{"gauge twice", strings.Replace(head, "gauge B02", "gauge M07", 1) + row(colGauge, "M07"), []string{"7:1 readings.duplicate-declaration"}},
		{"saved by a spreadsheet", strings.Replace(head, "# job: 2026-014 Hillclimb five", "# job: 2026-014 Hillclimb five,,,,,,,,,,,", 1) + good, []string{"4:1 readings.padded"}},
		{"quoted declaration", strings.Replace(head, "# job: 2026-014 Hillclimb five", `"# job: 2026-014 Hillclimb five"`, 1) + good, []string{"4:1 readings.padded"}},
		{"no header", strings.Join(lines[:7], ""), []string{"8:1 readings.no-header"}},
		{"header with other words", strings.Replace(head, "part_temp", "temp", 1) + good, []string{"8:40 readings.header"}},
		{"header in another order", strings.Replace(head, "state,value", "value,state", 1) + good, []string{"8:10 readings.header"}},
		{"header between semicolons", strings.ReplaceAll(head, ",state,", ";state;") + good, []string{"8:1 readings.header"}},
		{"header too short", strings.Replace(head, ",note", "", 1) + good, []string{"8:78 readings.header-short"}},
		{"header too long", strings.Replace(head, ",note", ",note,why", 1) + good, []string{"8:88 readings.header-long"}},
		{"no rows", head + "\n\n", []string{"11:1 readings.no-rows"}},
		{"declaration below the header", head + "# note: late\n" + good, []string{"9:1 readings.late-declaration"}},

		{"10 MB line", head + row(colNote, strings.Repeat("x", 10<<20)) + row(colState, "worn"), []string{"9:65537 readings.line-too-long", "10:19 readings.unknown-state"}},
		{"10 MB declaration", "# fettle readings 1\n# note: " + strings.Repeat("x", 10<<20) + "\n" + without(0) + good, []string{"2:65537 readings.line-too-long"}},
		{"10 MB first line", strings.Repeat("x", 10<<20), []string{"1:1 readings.format", "1:1 readings.no-decimal", "1:1 readings.no-delimiter"}},
		{"10 MB in quotes over many lines", head + row(colNote, `"`+strings.Repeat(strings.Repeat("x", 99)+"\n", 1e5)+`"`), nil},
		{"quote inside a field", head + row(colNote, `3" bore`), []string{"9:107 readings.quote"}},
		{"text behind a quote", head + row(colNote, `"3" bore`), []string{"9:109 readings.quote"}},
		{"quote never closed", head + row(colNote, `"abc`) + row(colState, "worn"), []string{"9:106 readings.quote-open", "10:19 readings.unknown-state"}},
		{"quote closed by a later one", head + row(colNote, `"abc`) + strings.Replace(row(colNote, `"abc"`), "found", "worn", 1),
			[]string{"9:106 readings.quote-open", "10:19 readings.unknown-state"}},
		{"long record over two lines", head + strings.Replace(good, "found", "\"x\ny\"", 1) + strings.Replace(strings.Replace(good, "AK", strings.Repeat("A", 40<<10), 1), "found", "\""+strings.Repeat("x", 30<<10)+"\n\"", 1),
			[]string{"9:19 readings.unknown-state", "12:1 readings.quote-open", "12:41042 readings.line-too-long"}},
		{"too few fields", head + "block/bore/1/H1/T,found,83.012,mm\n", []string{"9:32 readings.field-count"}},
		{"too many fields", head + strings.TrimSuffix(good, "\n") + ",,\n", []string{"9:107 readings.field-count"}},

		{"unknown position", head + row(colPosition, "block/bore/1/H4/T"), []string{"9:1 readings.unknown-position"}},
		{"position that nothing resembles", head + row(colPosition, "gearbox/selector/7"), []string{"9:1 readings.no-such-position"}},
		{"derived position", head + row(colPosition, "block/taper/1"), []string{"9:1 readings.derived"}},
		{"unknown state", head + row(colState, "Found"), []string{"9:19 readings.unknown-state"}},
		{"state after nothing", head + row(colState, "after()"), []string{"9:19 readings.unknown-state"}},
		{"no value", head + row(colValue, ""), []string{"9:25 readings.no-value"}},
		{"word for a value", head + row(colValue, "worn"), []string{"9:25 unit.no-number"}},
		{"exponent", head + row(colValue, "1e3"), []string{"9:25 unit.not-a-number"}},
		{"NaN", head + row(colValue, "NaN"), []string{"9:25 unit.no-number"}},
		{"infinity", head + row(colValue, "-Inf"), []string{"9:25 unit.unknown"}},
		{"hexadecimal", head + row(colValue, "0x1p3"), []string{"9:25 unit.not-a-number"}},
		{"other decimal mark", head + row(colValue, `"83,012"`), []string{"9:25 unit.other-mark"}},
		{"both decimal marks", head + row(colValue, `"1.083,012"`), []string{"9:25 unit.other-mark"}},
		{"unit inside the value", head + row(colValue, "83.012 mm"), []string{"9:25 readings.unit-in-value"}},
		{"no unit", head + row(colUnit, ""), []string{"9:32 unit.no-unit"}},
		{"unknown unit", head + row(colUnit, "furlong"), []string{"9:32 unit.unknown"}},
		{"mixed units", head + row(colUnit, "cm³"), []string{"9:32 readings.mixed-units"}},
		{"torque for a length", head + row(colUnit, "Nm"), []string{"9:32 readings.mixed-units"}},
		{"check with a number", head + fmt.Sprintf(check, "1", ""), []string{"9:19 readings.check-value"}},
		{"check with a unit", head + fmt.Sprintf(check, "pass", "mm"), []string{"9:24 readings.check-unit"}},
		{"pass for a length", head + row(colValue, "pass"), []string{"9:25 unit.no-number"}},
		{"unknown gauge", head + row(colGauge, "B03"), []string{"9:35 readings.unknown-gauge"}},
		{"unknown master", head + row(colMaster, "M08"), []string{"9:39 readings.unknown-gauge"}},
		{"hot part", head + row(colPartTemp, "60.1"), []string{"9:43 readings.bad-temperature"}},
		{"cold gauge", head + row(colGaugeTemp, "-20.1"), []string{"9:48 readings.bad-temperature"}},
		{"NaN temperature", head + row(colPartTemp, "NaN"), []string{"9:43 unit.no-number"}},
		{"unknown condition", head + row(colCondition, "caps-tight warm"), []string{"9:53 readings.unknown-condition"}},
		{"unknown person", head + row(colPerson, "KA"), []string{"9:77 readings.unknown-person"}},
		{"person that is no id", head + row(colPerson, "A K"), []string{"9:77 readings.bad-id"}},
		{"time without zone", head + row(colTime, "2026-11-24T09:31:00"), []string{"9:80 readings.bad-time"}},
		{"time of another calendar", head + row(colTime, "24.11.2026 09:31"), []string{"9:80 readings.bad-time"}},
		{"time before 1970", head + row(colTime, "1969-12-31T23:59:59Z"), []string{"9:80 readings.bad-time"}},
		{"time too fine", head + row(colTime, "2026-11-24T09:31:00.0000001Z"), []string{"9:80 readings.bad-time"}},
		{"duplicate", head + good + row(colValue, "83.013"), []string{"10:1 readings.duplicate"}},
		{"duplicate in another zone", head + good + row(colTime, "2026-11-24T09:31:00Z"), []string{"10:1 readings.duplicate"}},

		{"every field of every line", head + row(colState, "worn") +
			"block/bore/1/H1/X,found,1e3,mm,B03,M07,99,19.5,warm,AK,yesterday,\n" + good + row(colValue, "NaN"),
			[]string{"9:19 readings.unknown-state", "10:1 readings.unknown-position", "10:25 unit.not-a-number", "10:32 readings.unknown-gauge",
				"10:40 readings.bad-temperature", "10:48 readings.unknown-condition", "10:56 readings.bad-time",
				"12:1 readings.duplicate", "12:25 unit.no-number"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, faults := Parse("readings.csv", []byte(c.text), layout(t), nil)
			var got []string
			for _, f := range faults {
				if f.File != "readings.csv" {
					t.Errorf("a fault without its file: %v", f)
				}
				got = append(got, fmt.Sprintf("%d:%d %s", f.Line, f.Col, f.Key))
			}
			if c.want == nil { // a long cascade, of which only the beginning is stated
				if len(got) != mostFaults+1 || got[0] != "9:106 readings.quote-open" {
					t.Fatalf("%d faults, first %v", len(got), got[:1])
				}
			} else if !slices.Equal(got, c.want) {
				t.Errorf("got  %v\nwant %v", got, c.want)
			}
			if d := cmp.Diff(Sheet{}, s); d != "" {
				t.Errorf("a faulty file gave a sheet: %s", d)
			}
		})
	}
}

// Law: what a fault says beside its place.
func TestArguments(t *testing.T) {
	lines := strings.SplitAfter(head, "\n")
	for _, c := range []struct {
		text, key string
		want      map[string]string
	}{
		{head + row(colPosition, "block/bore/1/H4/T"), "readings.unknown-position",
			map[string]string{"found": "block/bore/1/H4/T", "nearest": "block/bore/1/H1/T"}},
		{strings.Join(append(slices.Clone(lines[:2]), lines[3:]...), "") + good, "readings.no-decimal-shown",
			map[string]string{"text": "83.012", "line": "8", "point": "83.012", "comma": "83012"}},
		{strings.Join(append(slices.Clone(lines[:2]), lines[3:]...), "") + row(colValue, `"83,012"`), "readings.no-decimal-shown",
			map[string]string{"text": "83,012", "line": "8", "point": "83012", "comma": "83.012"}},
		{strings.Join(append(slices.Clone(lines[:1]), lines[2:]...), "") + "block/bore/1/H1/T;found;83,012;mm;;;;;;;;\n", "readings.no-delimiter-shown",
			map[string]string{"line": "8", "comma": "–", "semicolon": "83,012", "tab": "–"}},
		{head + good + good, "readings.duplicate", map[string]string{"position": "block/bore/1/H1/T", "line": "9"}},
		{head + row(colUnit, "cc"), "readings.mixed-units",
			map[string]string{"found": "cm³", "kind": "length", "expected": "mm, µm, nm, cm, m, in, thou"}},
		{head + row(colGauge, "B03"), "readings.unknown-gauge", map[string]string{"found": "B03", "expected": "B02, M07"}},
	} {
		_, faults := Parse("r", []byte(c.text), layout(t), nil)
		if len(faults) != 1 || faults[0].Key != c.key {
			t.Errorf("%s: got %v", c.key, faults)
			continue
		}
		if d := cmp.Diff(c.want, map[string]string(faults[0].Args)); d != "" {
			t.Errorf("%s: %s", c.key, d)
		}
	}
}

// Law: repeats differ in time, person or gauge.
func TestRepeats(t *testing.T) {
	text := strings.Replace(head, "# person AK: machinist\n", "", 1) + good + row(colTime, "2026-11-24T10:31:00.000001+01:00") +
		row(colPerson, "BL") + row(colGauge, "M07") + row(colState, "built") + row(colTime, "")
	s, faults := Parse("r", []byte(text), layout(t), nil)
	if len(faults) > 0 || len(s.Readings) != 6 {
		t.Errorf("%d readings, %v", len(s.Readings), faults)
	}
}

// Law: instrument types are checked where they are known, at their declaration.
func TestInstruments(t *testing.T) {
	_, faults := Parse("r", []byte(head+good), layout(t), map[string]bool{"bore-gauge": true})
	if len(faults) != 1 || faults[0].Key != "readings.unknown-instrument" || faults[0].Line != 6 || faults[0].Col != 14 {
		t.Error(faults)
	}
	_, faults = Reader{Layout: layout(t), Conditions: map[string]bool{"caps-tight": true}}.Parse("r", []byte(head+good))
	if len(faults) != 1 || faults[0].Key != "readings.unknown-condition" || faults[0].Args["found"] != "torque-plate" {
		t.Error(faults)
	}
}

// Law: a long list of faults is cut and counted, missing declarations excepted.
func TestManyFaults(t *testing.T) {
	text := strings.Replace(head, "# decimal: point\n", "", 1) + strings.Repeat(row(colState, "worn")+row(colPosition, "block/bore/1/H9/T"), 5000)
	began := time.Now()
	_, faults := Parse("r", []byte(text), layout(t), nil)
	// 5,000 states, 5,000 positions, 4,999 duplicates: 200 listed, one added, the rest counted.
	last := faults[len(faults)-1]
	if len(faults) != 202 || last.Key != "readings.more" || last.Args["count"] != "14799" {
		t.Errorf("%d faults, last %v", len(faults), last)
	}
	if faults[0].Key != "readings.no-decimal-shown" {
		t.Errorf("first %v", faults[0])
	}
	if d := time.Since(began); d > 5*time.Second {
		t.Errorf("took %v", d)
	}
}

// Law: the bounds on bytes and rows hold at their edge.
func TestBounds(t *testing.T) {
	text := []byte(head + good)
	if _, faults := (Reader{Layout: layout(t), MostBytes: len(text)}).Parse("r", text); len(faults) > 0 {
		t.Error(faults)
	}
	_, faults := Reader{Layout: layout(t), MostBytes: len(text) - 1}.Parse("r", text)
	if len(faults) != 1 || faults[0].Key != "readings.too-large" {
		t.Error(faults)
	}
	_, faults = Parse("r", make([]byte, MostBytes+1), layout(t), nil)
	if len(faults) != 1 || faults[0].Key != "readings.too-large" || faults[0].Args["most"] != "64 MiB" {
		t.Error(faults)
	}
	var b strings.Builder
	b.WriteString(head)
	at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range MostRows {
		fmt.Fprintf(&b, "block/crack,found,pass,,,,,,,AK,%s,\n", at.Add(time.Duration(i)*time.Second).Format(time.RFC3339))
	}
	s, faults := Parse("r", []byte(b.String()), layout(t), nil)
	if len(faults) > 0 || len(s.Readings) != MostRows {
		t.Errorf("%d readings, %v", len(s.Readings), faults)
	}
	_, faults = Parse("r", []byte(b.String()+good), layout(t), nil)
	if len(faults) != 1 || faults[0].Key != "readings.too-many-rows" || faults[0].Line != MostRows+9 {
		t.Error(faults)
	}
}
