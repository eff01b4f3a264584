package certificate

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"fettle/internal/base/fault"
)

// Every sample in testdata was written for these tests; laboratories, items and
// numbers are invented.

func sample(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func told(r Result) string {
	var b strings.Builder
	for _, p := range r.Points {
		fmt.Fprintf(&b, "%s|%s|%s|%s ± %s k %s p %s\n", p.Nominal, p.Reference, p.Indication, p.Deviation, p.Expanded, p.Coverage.Text, p.Probability.Text)
	}
	return b.String()
}

func remarked(list []Remark) string {
	var keys []string
	for _, r := range list {
		keys = append(keys, r.Key)
	}
	return strings.Join(keys, " ")
}

// Law: both forms of an uncertainty, single values, lists, rows and several
// units are read digit by digit.
func TestRead(t *testing.T) {
	for _, c := range []struct {
		file, head, remarks string
		results             []string
	}{
		{"micrometer-3.1.2.xml", "3.1.2 INV-2026-0001 2026-02-02 2026-02-03 Invented Laboratory | Outside micrometer 50-75, Invented Gauges, M-75, 4711, M75",
			"certificate.unsigned", []string{`|50.0000 mm|50.0002 mm|0.2 µm ± 0.8 µm k 2 p 0.95
|55.1200 mm|55.1207 mm|0.7 µm ± 0.8 µm k 2 p 0.95
|60.2500 mm|60.2511 mm|1.1 µm ± 0.9 µm k 2 p 0.95
|65.3700 mm|65.3712 mm|1.2 µm ± 0.9 µm k 2 p 0.95
|70.5000 mm|70.5008 mm|0.8 µm ± 1.0 µm k 2 p 0.95
|75.0000 mm|75.0003 mm|0.3 µm ± 1.0 µm k 2 p 0.95
`}},
		{"ring-3.2.0.xml", "3.2.0 INV-2026-0002 2026-03-10 2026-03-10 Invented Laboratory | Setting ring, Invented Gauges, R-83, R-0815, RING83",
			"certificate.unchecked", []string{"83.000 mm||83.00130 mm| ± 0.00060 mm k 2.00 p 0.9545\n"}},
		{"thermometer-3.2.1.xml", "3.2.1 INV-2026-0003 2026-03-10 2026-03-11 Invented Laboratory | Thermometer, Invented Gauges, T-1, T-9, TH1",
			"certificate.left-out certificate.unsigned", []string{`|10.00 °C||0.15 °C ± 0.06 °C k 2 p 0.95
|20.00 °C||-0.05 °C ± 0.06 °C k 2 p 0.95
|30.00 °C||0.10 °C ± 0.06 °C k 2 p 0.95
`}},
		{"dial-3.1.1-two-results.xml", "3.1.1 INV-2026-0004 2026-04-01 2026-04-01 Invented Laboratory | Dial indicator, Invented Gauges, D-1, D-77, DI1",
			"certificate.unsigned", []string{
				"0.0 mm|||0.0 µm ± 1.0 µm k 2 p 0.95\n0.5 mm|||4.1 µm ± 1.0 µm k 2 p 0.95\n1.0 mm|||6.2 µm ± 1.0 µm k 2 p 0.95\n",
				"0.0 mm|||0.0 µm ± 1.0 µm k 2 p 0.95\n0.5 mm|||0.6 µm ± 1.0 µm k 2 p 0.95\n1.0 mm|||-0.4 µm ± 1.0 µm k 2 p 0.95\n"}},
	} {
		got, remarks, err := Read(c.file, sample(t, c.file))
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		i := got.Items[0]
		head := fmt.Sprintf("%s %s %s %s %s | %s, %s, %s, %s, %s", got.Schema, got.ID, got.Begin, got.End, got.Lab, i.Name, i.Manufacturer, i.Model, i.Serial, i.Owner)
		if head != c.head {
			t.Errorf("%s:\n%s; want\n%s", c.file, head, c.head)
		}
		if r := remarked(remarks); r != c.remarks {
			t.Errorf("%s: remarks %s; want %s", c.file, r, c.remarks)
		}
		if len(got.Results) != len(c.results) {
			t.Errorf("%s: %d results", c.file, len(got.Results))
			continue
		}
		for k, want := range c.results {
			if s := told(got.Results[k]); s != want {
				t.Errorf("%s, result %d:\n%s; want\n%s", c.file, k, s, want)
			}
		}
	}
}

// Law: what keeps a certificate from being used is said by its key, at its
// line.
func TestBadFiles(t *testing.T) {
	for file, want := range map[string]string{
		"bad-version.xml":      "3 certificate.version",
		"bad-unit-missing.xml": "60 certificate.no-unit",
		"bad-unit-unknown.xml": "62 certificate.unit",
		"bad-nan.xml":          "61 certificate.nan",
		"bad-root.xml":         "3 certificate.root",
		"bad-doctype.xml":      "2 certificate.doctype",
		"bad-lengths.xml":      "46 certificate.lengths",
	} {
		c, _, err := Read(file, sample(t, file))
		var list fault.List
		if c != nil || !errors.As(err, &list) || list[0].File != file {
			t.Errorf("%s: %+v, %v", file, c, err)
			continue
		}
		if got := fmt.Sprint(list[0].Line, " ", list[0].Key); got != want {
			t.Errorf("%s: %s; want %s", file, got, want)
		}
	}
}

// Law: each of these changes to a good certificate has its own sentence.
func TestFaults(t *testing.T) {
	const mu = "<si:coverageFactorXMLList>2</si:coverageFactorXMLList>"
	for _, c := range []struct{ old, fresh, key string }{
		{"<dcc:uniqueIdentifier>INV-2026-0001</dcc:uniqueIdentifier>", "", "certificate.lacks"},
		{"INV-2026-0001", " ", "certificate.empty"},
		{"2026-02-02", "2026-02-30", "certificate.date"},
		{"2026-02-02", "02.02.2026", "certificate.date"},
		{"2026-02-02", "2026-02-02 or so", "certificate.date"},
		{"2026-02-02", "2026-02-04", "certificate.dates"},
		{mu, "", "certificate.lacks"},
		{mu, strings.ReplaceAll(mu, "2", "0"), "certificate.coverage"},
		{mu, strings.ReplaceAll(mu, "2", "2 2"), "certificate.lengths"},
		{">0.95<", ">95<", "certificate.probability"},
		{">0.8 0.8 0.9 0.9 1.0 1.0<", ">-0.8<", "certificate.negative"},
		{">0.8 0.8 0.9 0.9 1.0 1.0<", ">INF<", "certificate.nan"},
		{"0.2 0.7 1.1", "0.2 0,7 1.1", "certificate.number"},
		{"0.2 0.7 1.1", "0.2 1e99 1.1", "unit.too-many-digits"},
		{"0.2 0.7 1.1", "0.2 0.70000001 1.1", "unit.too-fine"},
		{"50.0000 55", "9e9 55", "unit.too-large"},
		{`\micro\metre`, `\micro\metre \milli\metre`, "certificate.mixed-units"},
		{`\micro\metre`, `\kelvin`, "certificate.kinds"},
		{`>\milli\metre<`, `>\kelvin<`, "certificate.unit"},
		{"basic_measuredValue", "basic_referenceValue", "certificate.twice"},
		{"si:realListXMLList", "si:complexList", "certificate.no-quantity"},
		{"Error of indication</", "Error &unknown; of indication</", "certificate.not-xml"},
		{"</dcc:digitalCalibrationCertificate>", "", "certificate.not-xml"},
		{"</dcc:digitalCalibrationCertificate>", "</dcc:digitalCalibrationCertificate>x", "certificate.not-xml"},
		{"</dcc:digitalCalibrationCertificate>", "</dcc:digitalCalibrationCertificate><a/>", "certificate.two-roots"},
		{`encoding="UTF-8"`, `encoding="ISO-8859-1"`, "certificate.not-xml"},
		{"<dcc:results>", "<dcc:results>" + strings.Repeat("<a>", 70), "certificate.too-deep"},
		{"<dcc:results>", "<dcc:results>" + strings.Repeat("<a/>", mostElements), "certificate.too-many"},
		{"M-75", strings.Repeat("x", mostText+1), "certificate.long-text"},
		{"M-75", strings.Repeat("x", MostBytes), "certificate.too-large"},
	} {
		text := string(sample(t, "micrometer-3.1.2.xml"))
		bad := strings.ReplaceAll(text, c.old, c.fresh)
		if bad == text {
			t.Fatalf("%s stands nowhere", c.old)
		}
		_, _, err := Read("x.xml", []byte(bad))
		if keys := keysOf(err); !strings.Contains(keys, " "+c.key+" ") {
			t.Errorf("%.60s -> %.60s: %s; want %s", c.old, c.fresh, keys, c.key)
		}
	}
	for name, text := range map[string]string{"certificate.nothing": "", "certificate.not-xml": "serial,bias\n4711,0.2\n", "certificate.root": "<html/>"} {
		if _, _, err := Read("x.xml", []byte(text)); !strings.Contains(keysOf(err), name) {
			t.Errorf("%q: %v; want %s", text, err, name)
		}
	}
}

func keysOf(err error) string {
	keys := " "
	for _, f := range fault.All(err) {
		keys += f.Key + " "
	}
	return keys
}

// Law: columns that a result cannot do without are asked for.
func TestColumns(t *testing.T) {
	text := string(sample(t, "micrometer-3.1.2.xml"))
	for _, c := range []struct {
		hide []string
		key  string
	}{
		{[]string{"basic_measurementError"}, "certificate.no-uncertainty"},
		{[]string{"basic_measurementError", "basic_measuredValue"}, "certificate.no-deviation"},
		{[]string{"basic_referenceValue", "basic_measuredValue"}, "certificate.no-place"},
		{[]string{"basic_referenceValue", "basic_measuredValue", "basic_measurementError"}, "certificate.no-points"},
	} {
		bad := text
		for _, h := range c.hide {
			bad = strings.Replace(bad, h, "gp_other", 1)
		}
		if _, _, err := Read("x.xml", []byte(bad)); !strings.Contains(keysOf(err), c.key) {
			t.Errorf("without %v: %v; want %s", c.hide, err, c.key)
		}
	}
	other := strings.Replace(text, "0.2 0.7 1.1", "-0.2 -0.7 -1.1", 1)
	if _, remarks, err := Read("x.xml", []byte(other)); err != nil || !strings.Contains(remarked(remarks), "certificate.disagrees") {
		t.Errorf("a turned sign: %v, %v", remarks, err)
	}
}

// Law: what is to be taken off a reading is what a gauge shows too much; of a
// master, the written size less the size found.
func TestRow(t *testing.T) {
	for _, c := range []struct {
		file     string
		point    int
		master   bool
		at, bias string
	}{
		{"micrometer-3.1.2.xml", 3, false, "65.3712 mm", "1.2 µm"},
		{"ring-3.2.0.xml", 0, true, "83.000 mm", "-0.0013 mm"},
		{"ring-3.2.0.xml", 0, false, "83.00130 mm", "0.0013 mm"},
		{"thermometer-3.2.1.xml", 1, false, "20.00 °C", "-0.05 °C"},
		{"dial-3.1.1-two-results.xml", 1, false, "0.5 mm", "4.1 µm"},
		{"dial-3.1.1-two-results.xml", 1, true, "0.5 mm", "-4.1 µm"},
	} {
		got, _, err := Read(c.file, sample(t, c.file))
		if err != nil {
			t.Fatal(err)
		}
		at, bias := got.Results[0].Points[c.point].Row(c.master)
		if at.String() != c.at || bias.String() != c.bias {
			t.Errorf("%s, point %d, master %v: %s, %s; want %s, %s", c.file, c.point, c.master, at, bias, c.at, c.bias)
		}
	}
}

// Law: a number is taken over digit by digit, whatever its exponent.
func TestExact(t *testing.T) {
	for text, want := range map[string]string{"1.5E-1": "0.15", "-5e-2": "-0.05", "12.50": "12.50", "+3": "3", ".5": "0.5", "5.": "5", "1E3": "1000",
		"1.2e1": "12", "0.0": "0.0", "007": "7", "1.20E0": "1.20", "-0": "-0", "NaN": "", "": "", ".": "", "1e": "", "1e100": "", "0x1": "", "1 2": ""} {
		if got, ok := exact(text); got != want || ok != (want != "") {
			t.Errorf("%q: %q, %v; want %q", text, got, ok, want)
		}
	}
}

// FuzzRead: whatever bytes come, Read answers without a panic, with a
// certificate that can be used or with faults that have a place.
func FuzzRead(f *testing.F) {
	names, err := os.ReadDir("testdata")
	if err != nil {
		f.Fatal(err)
	}
	for _, n := range names {
		if strings.HasSuffix(n.Name(), ".xml") {
			f.Add(sample(f, n.Name()))
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		c, _, err := Read("f.xml", text)
		if err != nil {
			for _, fa := range fault.All(err) {
				if fa.Key == "fault.other" || fa.File == "" || fa.Line < 1 {
					t.Fatalf("%+v", fa)
				}
			}
			return
		}
		if c.ID == "" || c.End == "" || len(c.Items) == 0 || len(c.Results) == 0 {
			t.Fatalf("%+v", c)
		}
		for _, r := range c.Results {
			for _, p := range r.Points {
				for _, master := range []bool{false, true} {
					at, bias := p.Row(master)
					if p.Expanded.N < 0 || p.Coverage.N <= 0 || at.IsZero() || bias.IsZero() || at.Dim != bias.Dim {
						t.Fatalf("%+v: at %v, bias %v", p, at, bias)
					}
				}
			}
		}
	})
}
