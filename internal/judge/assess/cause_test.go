package assess

import (
	"math"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
)

// Everything in these laws is synthetic.

// sees enters one reading with everything said.
func (b *book) sees(r job.ReadingV1) string {
	if r.State == "" {
		r.State = job.Found
	}
	if r.Typed == "" {
		r.Typed = r.Value
	}
	if r.Unit == "" {
		r.Unit = "mm"
	}
	r.Condition = []string{"caps-tight"}
	return b.add(entry.Reading, r)
}

func (b *book) calibrated(gauge string, date int64, bias string) {
	b.t.Helper()
	b.n++
	e, err := entry.New(entry.ShopStream, entry.Key{0xfe, b.n}, entry.Calibrated, "AK", "test", noon,
		shop.CalibratedV1{Gauge: gauge, Date: date, Bias: bias, Unit: "µm", Expanded: "1.0", Coverage: "2"})
	if err != nil {
		b.t.Fatal(err)
	}
	b.shop = append(b.shop, entry.Row{Entry: e, Seq: int64(len(b.shop) + 1)})
}

const (
	secondComparator = `- {id: pin-gauge, name: {en: Pin gauge}, quantity: length, resolution: 1 µm, repeat: 0.7 µm, bias: 0.5 µm, set: master, set_repeat: 0.4 µm, material: steel, minutes: 3, source: made-up, status: from memory}
`
	bothMicrometers = "gauges: [micrometer]\n  condition: [caps-tight]"
)

// Law: what a comparator was set on may be named by its type, and two types of
// comparator may be set on one master that the shop does not know.
func TestLawMastersNobodyKnows(t *testing.T) {
	k := tinyWith(t, "conditions:\n", secondComparator+"conditions:\n", "gauges: [bore-gauge]\n  condition: [caps-tight]", "gauges: [pin-gauge]\n  condition: [caps-tight]")
	b := open(t)
	b.sees(job.ReadingV1{Position: "block/bore/1/H2/T", Value: "80.020", Gauge: "bore-gauge", Master: "micrometer"})
	b.sees(job.ReadingV1{Position: "piston/skirt/1", Value: "79.950", Gauge: "micrometer"})
	b.sees(job.ReadingV1{Position: "block/bore/1/H1/T", Value: "80.020", Gauge: "bore-gauge", Master: "R1"})
	b.sees(job.ReadingV1{Position: "block/tunnel/1", Value: "54.020", Gauge: "pin-gauge", Master: "R1"})
	if v := b.value(k, "piston/clearance/1"); v.Y != "0.0700" {
		t.Errorf("clearance %s", v.Y)
	}
}

// Law: one gauge that the shop does not know may read two characteristics whose
// usual types differ.
func TestLawOneUnknownGaugeTwoTypes(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.sees(job.ReadingV1{Position: "block/bore/1/H2/T", Value: "80.020", Gauge: "X1"})
	b.sees(job.ReadingV1{Position: "piston/skirt/1", Value: "79.950", Gauge: "X1"})
	if v := b.value(k, "piston/clearance/1"); v.Verdict == Unmeasured {
		t.Errorf("clearance %+v", v)
	}
}

// Law: two gauges that the shop does not know are two gauges, and so, for all
// that is known, are two that nobody named: their biases do not cancel. One
// gauge does cancel, known or not.
func TestLawUnknownGaugesDoNotCancel(t *testing.T) {
	k := tinyWith(t, "gauges: [bore-gauge]\n  condition: [caps-tight]", bothMicrometers)
	u2 := func(first, second string) float64 {
		b := open(t)
		b.sees(job.ReadingV1{Position: "block/tunnel/1", Value: "54.050", Gauge: first, PartTemp: "20.0", GaugeTemp: "20.0"})
		b.sees(job.ReadingV1{Position: "crank/main/1", Value: "49.990", Gauge: second, PartTemp: "20.0", GaugeTemp: "20.0"})
		return sq(b.value(k, "crank/gap/1").SU * 1e6)
	}
	one := u2("X1", "X1")
	for _, c := range [][2]string{{"X1", "X2"}, {"", ""}, {"X1", ""}} {
		if got, want := u2(c[0], c[1]), one+2*1.4*1.4; math.Abs(got-want) > 1e-3 {
			t.Errorf("gauges %q: u² = %.3f µm², want %.3f", c, got, want)
		}
	}
}

// Law: a gauge of another kind of quantity says nothing of the doubt of a
// reading; the usual type stands in, and a question is asked.
func TestLawGaugeOfAnotherKind(t *testing.T) {
	k := tinyWith(t, "conditions:\n", "- {id: balance, name: {en: Balance}, quantity: mass, resolution: 0.1 g, repeat: 0.1 g, bias: 0.1 g, minutes: 1, source: made-up, status: from memory}\nconditions:\n")
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.owns("W1", "balance", "")
	b.sees(job.ReadingV1{Position: "crank/main/1", Value: "49.9900", Gauge: "W1", PartTemp: "20.0", GaugeTemp: "20.0"})
	b.sees(job.ReadingV1{Position: "crank/main/2", Value: "49.9900", Gauge: "M1", PartTemp: "20.0", GaugeTemp: "20.0"})
	a := b.assess(k)
	v, _ := a.Find("crank/main/1", job.Found)
	w, _ := a.Find("crank/main/2", job.Found)
	if math.Abs(v.SU-w.SU) > 1e-12 {
		t.Errorf("read with a balance ± %.3g, with a micrometer ± %.3g", v.SU, w.SU)
	}
	asked := false
	for _, q := range a.Questions {
		asked = asked || q.ID == NoGauge && q.Args["gauge"] == "W1"
	}
	if !asked {
		t.Error("nobody asked about the balance")
	}
}

// Law: a calibration for another kind of quantity is not this gauge's.
func TestLawCalibrationOfAnotherKind(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	e, err := entry.New(entry.ShopStream, entry.Key{0xfe, 9}, entry.Calibrated, "AK", "test", noon,
		shop.CalibratedV1{Gauge: "M1", Date: noon - 1, Bias: "1", Unit: "g", Expanded: "1", Coverage: "2"})
	if err != nil {
		t.Fatal(err)
	}
	b.shop = append(b.shop, entry.Row{Entry: e, Seq: 2})
	b.read("crank/main/1 49.990 mm M1", job.Found)
	if v := b.value(k, "crank/main/1"); v.Y != "49.9900" {
		t.Errorf("a certificate in grams moved it to %s mm", v.Y)
	}
}

// Law: the bias that a certificate states is indication less true, so it comes
// off, under the calibration in force when the reading was taken, and the
// certificate's standard uncertainty is its expanded one over k.
func TestLawCertificate(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.calibrated("M1", noon-10, "3.0")
	b.calibrated("M1", noon+10, "-5.0")
	b.read("crank/main/1 49.990 mm M1", job.Found)
	v := b.value(k, "crank/main/1")
	if v.Y != "49.9870" {
		t.Errorf("value %s, want 49.9870", v.Y)
	}
	soak := sq(0.15 * 50e-3 * 11.5)
	if want := math.Sqrt(0.8*0.8 + 1.0/12 + 1.4*1.4 + 0.5*0.5 + soak); math.Abs(v.SU*1e6-want) > 0.005 {
		t.Errorf("u %.4f µm, by hand %.4f", v.SU*1e6, want)
	}
	// A correction typed after the next calibration is still of the first.
	first := b.rows[1].Key.String()
	e, err := entry.New(entry.JobStream("1"), entry.Key{99}, entry.Correction, "AK", "test", noon+20, job.CorrectionV1{Target: first, Reason: "digits",
		Reading: job.ReadingV1{Position: "crank/main/1", State: job.Found, Typed: "49.991", Value: "49.991", Unit: "mm", Gauge: "M1", PartTemp: "20.0", GaugeTemp: "20.0"}})
	if err != nil {
		t.Fatal(err)
	}
	b.rows = append(b.rows, entry.Row{Entry: e, Seq: 3})
	if v := b.value(k, "crank/main/1"); v.Y != "49.9880" {
		t.Errorf("corrected value %s, want 49.9880", v.Y)
	}
}

// Law: where the step of a scale is wider than twice the repeat, reading again
// shows the same step again: its doubt stays. With a fine step it averages.
func TestLawCoarseStepStays(t *testing.T) {
	coarse := `- {id: coarse-dial, name: {en: Coarse}, quantity: length, resolution: 10 µm, repeat: 1.5 µm, bias: 2.0 µm, minutes: 2, source: made-up, status: from memory}
`
	k := tinyWith(t, "conditions:\n", coarse+"conditions:\n", "gauges: [bore-gauge]\n  condition: [caps-tight]", "gauges: [coarse-dial]\n  condition: [caps-tight]")
	b := open(t)
	b.owns("D1", "coarse-dial", "")
	for range 2 {
		b.sees(job.ReadingV1{Position: "block/tunnel/1", Value: "0.05", Gauge: "D1", PartTemp: "20.0", GaugeTemp: "20.0"})
	}
	if got, want := b.value(k, "block/tunnel/1").SU*1e6, math.Sqrt(1.5*1.5/2+100.0/12+2*2); math.Abs(got-want) > 0.01 {
		t.Errorf("two readings of a coarse dial: u %.3f µm, want %.3f", got, want)
	}
}

// Law: one temperature written in two ways is one temperature.
func TestLawOneTemperatureTwoSpellings(t *testing.T) {
	k := tiny(t)
	u := func(part, gauge string) float64 {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.sees(job.ReadingV1{Position: "crank/main/1", Value: "49.990", Gauge: "M1", PartTemp: part, GaugeTemp: gauge})
		return b.value(k, "crank/main/1").SU
	}
	if a, b := u("21.0", "21.0"), u("21.0", "21"); math.Abs(a-b) > 1e-12 {
		t.Errorf("21.0 and 21.0: u %.4g; 21.0 and 21: %.4g", a, b)
	}
}

// Law: what a comparator was set on has grown with the room, not its own scale.
func TestLawMasterGrows(t *testing.T) {
	k := tinyWith(t, "conditions:\n", "- {id: hard-ring, name: {en: Ring}, quantity: length, resolution: 0.1 µm, repeat: 0.1 µm, bias: 0.2 µm, material: piston-alloy, minutes: 1, source: made-up, status: from memory}\nconditions:\n")
	b := open(t)
	b.owns("B1", "bore-gauge", "R1")
	b.owns("R1", "hard-ring", "")
	b.sees(job.ReadingV1{Position: "block/bore/1/H2/T", Value: "80.020", Gauge: "B1", PartTemp: "30.0", GaugeTemp: "30.0"})
	want := 80.020 * (1 + 20e-6*10) / (1 + 11e-6*10)
	if v := b.value(k, "block/bore/1/H2/T"); math.Abs(v.SI*1e3-want) > 1e-7 {
		t.Errorf("size %.6f mm, want %.6f", v.SI*1e3, want)
	}
}

// Law: readings that differ only because the part warmed up do not scatter.
func TestLawScatterIsThatAt20(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	for _, r := range [][2]string{{"20.0", "79.950"}, {"25.0", "79.958"}, {"30.0", "79.966"}} {
		b.sees(job.ReadingV1{Position: "piston/skirt/1", Value: r[1], Gauge: "M1", PartTemp: r[0], GaugeTemp: "20.0"})
	}
	if v := b.value(k, "piston/skirt/1"); v.Dof != "∞" {
		t.Errorf("u %s µm with %s degrees of freedom", v.U, v.Dof)
	}
}

// Law: a value at a place that is worked out, typed by a person, is kept and
// shown; where what it is worked out from is missing, it stays unmeasured.
func TestLawTypedBesideDerived(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.sees(job.ReadingV1{Position: "crank/gap/1", Value: "4.060", Gauge: "micrometer"})
	v := b.value(k, "crank/gap/1")
	if v.Verdict != Unmeasured || v.Why == nil || v.Why.Key != "value.lacks" || len(v.Missing) != 2 || len(v.Readings) != 1 {
		t.Errorf("typed clearance: %+v", v)
	}
	b.owns("M1", "micrometer", "")
	b.owns("B1", "bore-gauge", "M1")
	b.read("block/tunnel/1 54.050 mm B1", job.Found)
	b.read("crank/main/1 49.990 mm M1", job.Found)
	if v = b.value(k, "crank/gap/1"); v.Y != "4.0600" || len(v.Readings) != 1 {
		t.Errorf("typed clearance beside its inputs: %+v", v)
	}
}

// Law: what is out of scope is not asked for, also not by what leans on it.
func TestLawOutOfScopeIsNotMissed(t *testing.T) {
	k := tiny(t)
	b := &book{t: t}
	b.add(entry.JobOpened, job.OpenedV1{Job: "1", Title: "Tiny", Family: "tiny-20-1", Scope: []string{"pistons"}})
	a := b.assess(k)
	skirts := 0
	for i := range a.Values {
		v := &a.Values[i]
		if strings.HasPrefix(v.Position, "piston/skirt") {
			skirts++
			continue
		}
		t.Errorf("%s is %s, lacks %v", v.Position, v.Verdict, v.Missing)
	}
	if skirts != 2 {
		t.Errorf("%d skirts asked for, want 2", skirts)
	}
}
