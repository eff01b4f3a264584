package bench

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettle/internal/edge/store"
	"fettle/internal/facts/certificate"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/gauge"
)

// Certificates here are the invented ones of facts/certificate.

func sample(t testing.TB, name string, pairs ...string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../facts/certificate/testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		if !bytes.Contains(b, []byte(pairs[i])) {
			t.Fatalf("%s does not stand in %s", pairs[i], name)
		}
		b = bytes.ReplaceAll(b, []byte(pairs[i]), []byte(pairs[i+1]))
	}
	return b
}

const micrometer = "micrometer-3.1.2.xml"

func own(t testing.TB, b *Bench, n int, g shop.GaugeV1) {
	t.Helper()
	e, err := entry.New(entry.ShopStream, key(n), entry.GaugeKnown, "p-1", "test", b.now(), g)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.AppendShop(context.Background(), []entry.Entry{e}); err != nil {
		t.Fatal(err)
	}
}

// Law: an offer stores nothing; a stored certificate is the file byte for byte
// and one entry, however often it is handed in; the next reading uses it.
func TestCalibrate(t *testing.T) {
	b, st := open(t)
	ctx := context.Background()
	own(t, b, 300, shop.GaugeV1{Gauge: "mic", Type: "micrometer", Serial: "4711"})
	if _, err := b.RecordReading(ctx, reading(301, "89.010")); err != nil {
		t.Fatal(err)
	}
	file := sample(t, micrometer)
	in := Certificate{Gauge: "mic", Name: micrometer, File: file, Due: "2027-02-03", Person: "p-1", Device: "test"}
	before, err := b.Shop(ctx)
	if err != nil {
		t.Fatal(err)
	}
	o, err := b.OfferCalibration(ctx, in)
	if err != nil {
		t.Fatal(err)
	}
	c := o.Calibration
	if c.Unit != "µm" || c.AtUnit != "mm" || c.Bias != "0.7" || c.Expanded != "1.5" || c.Coverage != "2" || len(c.Points) != 6 ||
		c.Points[3] != (shop.PointV2{At: "65.3712", Bias: "1.2", Expanded: "0.9"}) {
		t.Errorf("%+v", c)
	}
	if got := time.UnixMicro(c.Date).UTC().Format(dayForm) + " " + time.UnixMicro(c.Due).UTC().Format(dayForm); got != "2026-02-03 2027-02-03" {
		t.Errorf("dates %s", got)
	}
	// The bore was read with a gauge set on the micrometer: it moves by what the
	// micrometer is off at that size, the end of its curve.
	if len(o.Reopened) != 1 || o.Reopened[0].Job != "j-1" || o.Reopened[0].Moved+len(o.Reopened[0].Changes) == 0 {
		t.Errorf("reopened %+v", o.Reopened)
	}
	if now, _ := b.Shop(ctx); now.Head != before.Head {
		t.Error("an offer wrote to the log")
	}
	if _, err := b.KeptFile(c.File); keysOf(err)[""] != "store.no-file" {
		t.Errorf("an offer kept the file: %v", err)
	}

	done, err := b.Calibrate(ctx, in)
	if err != nil || done.Again {
		t.Fatal(done.Again, err)
	}
	kept, err := b.KeptFile(c.File)
	if err != nil || !bytes.Equal(kept, file) {
		t.Errorf("the file came back changed: %v", err)
	}
	again, err := b.Calibrate(ctx, in)
	if err != nil || !again.Again || again.Receipt != done.Receipt {
		t.Errorf("again: %+v, %v", again.Receipt, err)
	}
	rows, err := st.Rows(ctx, entry.ShopStream, 1)
	if err != nil {
		t.Fatal(err)
	}
	last := rows[len(rows)-1]
	if last.Seq != done.Seq || last.Hash.String() != done.Head || last.Version != 2 || last.Kind != entry.Calibrated {
		t.Errorf("%+v", last.Entry)
	}
	sh, err := b.Shop(ctx)
	if err != nil || sh.Odd != 0 || len(sh.Gauges["mic"].Calibrations) != 1 {
		t.Fatalf("%d odd, %v", sh.Odd, err)
	}
	j, err := b.Judge(ctx, "j-1")
	if err != nil {
		t.Fatal(err)
	}
	v, _ := j.Assessment.Find(bore, "found")
	if d := v.SI - (89.010e-3 - 0.3e-6); d > 1e-12 || d < -1e-12 {
		t.Errorf("the bore is %v", v.SI)
	}
	l, err := b.LeanedOn(ctx, "mic", 0, 0)
	if err != nil || len(l) != 1 || len(l[0].Leans) == 0 {
		t.Errorf("leaned %+v, %v", l, err)
	}
	if l, err := b.LeanedOn(ctx, "scale", 0, 0); err != nil || len(l) != 0 {
		t.Errorf("leaned on the scale: %+v, %v", l, err)
	}
}

// Law: a master's written size less the size found is what a setting takes
// over; a thousandth of a millimetre in the certificate comes out in µm.
func TestCalibrateMaster(t *testing.T) {
	b, _ := open(t)
	own(t, b, 300, shop.GaugeV1{Gauge: "RING83", Type: "setting-master"})
	o, err := b.OfferCalibration(context.Background(), Certificate{Gauge: "RING83", Name: "r", File: sample(t, "ring-3.2.0.xml")})
	if err != nil {
		t.Fatal(err)
	}
	c := o.Calibration
	if c.Bias != "-1.3" || c.Expanded != "0.6" || c.Coverage != "2.00" || len(c.Points) != 1 || c.Points[0].At != "83.000" {
		t.Errorf("%+v", c)
	}
	if len(o.Remarks) != 1 || o.Remarks[0].Key != "certificate.unchecked" {
		t.Errorf("%+v", o.Remarks)
	}
}

// Law: a certificate that is not this gauge's, or not to be understood without
// a person, is told with its field, and nothing is stored.
func TestCalibrateRefuses(t *testing.T) {
	b, st := open(t)
	ctx := context.Background()
	own(t, b, 300, shop.GaugeV1{Gauge: "M75", Type: "micrometer", Serial: "9"})
	own(t, b, 301, shop.GaugeV1{Gauge: "other", Type: "micrometer", Serial: "9"})
	own(t, b, 302, shop.GaugeV1{Gauge: "strange", Type: "no-such-type"})
	own(t, b, 303, shop.GaugeV1{Gauge: "dial", Type: "dial-indicator"})
	head, err := st.Head(ctx, entry.ShopStream)
	if err != nil {
		t.Fatal(err)
	}
	good := Certificate{Gauge: "mic", Name: "c.xml", File: sample(t, micrometer), Person: "p-1"}
	for _, c := range []struct {
		field, key string
		change     func(*Certificate)
	}{
		{"gauge", "bench.unknown-gauge", func(c *Certificate) { c.Gauge = "nobody" }},
		{"gauge", "bench.no-type", func(c *Certificate) { c.Gauge = "strange" }},
		{"file", "bench.other-serial", func(c *Certificate) { c.Gauge = "other" }},
		{"result", "bench.no-result", func(c *Certificate) { c.Gauge = "scale" }},
		{"result", "bench.other-result", func(c *Certificate) { c.Result = 2 }},
		{"result", "bench.which-result", func(c *Certificate) { c.Gauge, c.File = "dial", sample(t, "dial-3.1.1-two-results.xml") }},
		{"file", "bench.future", func(c *Certificate) { c.File = sample(t, micrometer, "2026-02-03", "2036-02-03") }},
		{"due", "bench.due", func(c *Certificate) { c.Due = "2026-02-03" }},
		{"due", "bench.due", func(c *Certificate) { c.Due = "next year" }},
		{"file", "gauge.two-points", func(c *Certificate) { c.File = sample(t, micrometer, "55.1207", "50.0002") }},
		{"", "certificate.version", func(c *Certificate) { c.File = sample(t, "bad-version.xml") }},
		{"person", "bench.unknown-person", func(c *Certificate) { c.Person = "p-9" }},
	} {
		in := good
		c.change(&in)
		_, err := b.Calibrate(ctx, in)
		if keysOf(err)[c.field] != c.key {
			t.Errorf("%s: %v", c.key, err)
		}
	}
	if now, err := st.Head(ctx, entry.ShopStream); err != nil || now != head {
		t.Errorf("something was stored: %v, %v", now, err)
	}
	for gauge, result := range map[string]int{"M75": 0, "dial": 2} { // known by its owner's number; asked for by number
		in := good
		if in.Gauge, in.Result = gauge, result; gauge == "dial" {
			in.File = sample(t, "dial-3.1.1-two-results.xml")
		}
		o, err := b.OfferCalibration(ctx, in)
		if err != nil || o.Result == 0 || o.Calibration.Points[1].Bias != map[string]string{"M75": "0.7", "dial": "0.6"}[gauge] {
			t.Errorf("%s: %+v, %v", gauge, o.Calibration, err)
		}
	}
}

// Law: where the file cannot be kept no entry names it.
func TestNoFileNoEntry(t *testing.T) {
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	ctx, dir := context.Background(), t.TempDir()
	clock := func() time.Time { return time.Date(2026, 11, 24, 9, 0, 0, 0, time.UTC) }
	st, err := store.Open(ctx, dir, clock)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	b := New(st, lib, clock)
	own(t, b, 300, shop.GaugeV1{Gauge: "mic", Type: "micrometer", Serial: "4711"})
	head, err := st.Head(ctx, entry.ShopStream)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(dir, "files")); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Calibrate(ctx, Certificate{Gauge: "mic", Name: "c.xml", File: sample(t, micrometer)}); keysOf(err)[""] != "store.file" {
		t.Errorf("no room for the file: %v", err)
	}
	if now, err := st.Head(ctx, entry.ShopStream); err != nil || now != head {
		t.Errorf("an entry was written: %v, %v", now, err)
	}
}

// Law: points with another coverage factor are brought to the first one's,
// rounded up.
func TestCurveOneFactor(t *testing.T) {
	b, _ := open(t)
	file := sample(t, micrometer, "<si:coverageFactorXMLList>2<", "<si:coverageFactorXMLList>2 3 2 2 2 2<")
	o, err := b.OfferCalibration(context.Background(), Certificate{Gauge: "mic", Name: "c.xml", File: file})
	if err != nil {
		t.Fatal(err)
	}
	// 0.8·2/3 = 0.5333… µm, up to the next picometre.
	if p := o.Calibration.Points; p[0].Expanded != "0.8" || p[1].Expanded != "0.533334" {
		t.Errorf("%+v", p)
	}
	if len(o.Remarks) == 0 || o.Remarks[len(o.Remarks)-1].Key != "bench.no-serial" {
		t.Errorf("%+v", o.Remarks)
	}
}

// Law: checks are stored once, in one unit, and the session follows.
func TestRecordCheck(t *testing.T) {
	b, st := open(t)
	ctx := context.Background()
	own(t, b, 300, shop.GaugeV1{Gauge: "rod", Type: "setting-master"})
	in := Check{Gauge: "mic", Master: "rod", True: "75.000", Read: "75,002", Unit: "mm", Mark: ',', Person: "p-1", Device: "test", Key: key(301)}
	in.True = "75,000"
	d, err := b.RecordCheck(ctx, in)
	if err != nil || d.Session == nil || len(d.Session.Hands) != 1 || d.Session.Method != gauge.ByType {
		t.Fatalf("%+v, %v", d, err)
	}
	if bias := d.Session.Hands[0].Bias; bias < 1.9999e-6 || bias > 2.0001e-6 || d.Check != (shop.MasterCheckV1{Gauge: "mic", Master: "rod", True: "75.000", Read: "75.002", Unit: "mm"}) {
		t.Errorf("%v, %+v", bias, d.Check)
	}
	again, err := b.RecordCheck(ctx, in)
	if err != nil || !again.Again || again.Receipt != d.Receipt {
		t.Errorf("again %+v, %v", again, err)
	}
	in.Read = "75,003"
	if _, err := b.RecordCheck(ctx, in); keysOf(err)[""] != "bench.other-content" {
		t.Errorf("another check under one key: %v", err)
	}
	head, _ := st.Head(ctx, entry.ShopStream)
	for _, c := range []struct {
		field, key string
		change     func(*Check)
	}{
		{"gauge", "bench.unknown-gauge", func(c *Check) { c.Gauge = "nobody" }},
		{"master", "bench.which-master", func(c *Check) { c.Master = "" }},
		{"master", "bench.own-master", func(c *Check) { c.Master = "mic" }},
		{"master", "bench.unknown-master", func(c *Check) { c.Master = "nobody" }},
		{"mark", "bench.bad-mark", func(c *Check) { c.Mark = ';' }},
		{"true", "bench.no-value", func(c *Check) { c.True = " " }},
		{"read", "unit.no-number", func(c *Check) { c.Read = "seventy" }},
		{"read", "unit.other-mark", func(c *Check) { c.Read = "75.002" }},
		{"unit", "bench.wrong-unit", func(c *Check) { c.Unit = "g" }},
		{"true", "bench.wrong-unit", func(c *Check) { c.Read = "2,9527 in" }},
		{"person", "bench.unknown-person", func(c *Check) { c.Person = "p-9" }},
	} {
		in := in
		in.Key = key(302)
		c.change(&in)
		if _, err := b.RecordCheck(ctx, in); keysOf(err)[c.field] != c.key {
			t.Errorf("%s %s: %v", c.field, c.key, err)
		}
	}
	if now, _ := st.Head(ctx, entry.ShopStream); now != head {
		t.Error("something was stored")
	}
	list, err := b.Gauges(ctx)
	if err != nil || len(list) != 4 || list[1].GaugeV1.Gauge != "mic" || len(list[1].Sessions) != 1 || list[1].Calibration != nil || list[1].Overdue {
		t.Errorf("%+v, %v", list, err)
	}
	if _, err := b.Gauge(ctx, "nobody"); keysOf(err)[""] != "bench.unknown-gauge" {
		t.Error(err)
	}
}

// Law: every sentence that a certificate or a gauge can raise is in the words.
func TestRemarksHaveWords(t *testing.T) {
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range []string{"en", "de"} {
		for _, r := range []certificate.Remark{{Key: "certificate.unsigned"}, {Key: "certificate.unchecked"}, {Key: "bench.no-serial"},
			{Key: "certificate.left-out"}, {Key: "certificate.disagrees"}, {Key: "gauge.method.days"}, {Key: "gauge.method.type"},
			{Key: "gauge.method.variances"}, {Key: "gauge.few"}, {Key: "gauge.coarse"}, {Key: "gauge.off"}, {Key: "gauge.shifted"}, {Key: "gauge.beyond"}} {
			if s := lib.Book(lang).Say(r.Key); s == "" || strings.Contains(s, r.Key) {
				t.Errorf("%s in %s: %q", r.Key, lang, s)
			}
		}
	}
}
