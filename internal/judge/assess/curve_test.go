package assess

import (
	"math"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/maths/gum"
)

// curved enters a calibration with points, each a text of size, bias and
// expanded uncertainty.
func (b *book) curved(gauge string, plain [2]string, points ...string) {
	b.t.Helper()
	b.n++
	c := shop.CalibratedV2{CalibratedV1: shop.CalibratedV1{Gauge: gauge, Date: noon - 1, Bias: plain[0], Unit: "µm", Expanded: plain[1], Coverage: "2"}, AtUnit: "mm"}
	for _, p := range points {
		f := strings.Fields(p)
		c.Points = append(c.Points, shop.PointV2{At: f[0], Bias: f[1], Expanded: f[2]})
	}
	e, err := entry.New(entry.ShopStream, entry.Key{0xfd, b.n}, entry.Calibrated, "AK", "test", noon, c)
	if err != nil {
		b.t.Fatal(err)
	}
	e.Version = 2
	b.shop = append(b.shop, entry.Row{Entry: e, Seq: int64(len(b.shop) + 1)})
	if s := shop.Replay(b.shop); s.Odd != 0 {
		b.t.Fatal("the calibration is not understood")
	}
}

// biasOf is how a value leans on the one cause of a gauge, and its U.
func biasOf(t *testing.T, a *Assessment, v *Value, gauge string) gum.Share {
	t.Helper()
	var found []gum.Share
	for _, s := range a.e.g.Budget(v.node) {
		if s.Kind == gum.Gauge && s.Ref == gauge {
			found = append(found, s)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%s leans on %d causes of %s", v.Position, len(found), gauge)
	}
	return found[0]
}

// Law: readings of two sizes by one gauge are corrected each by its own part of
// the curve, and share one cause, on which each leans by what the certificate
// is worth at its size.
func TestLawCurve(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.curved("M1", [2]string{"9", "9"}, "50 1.0 0.6", "70 3.0 1.0", "90 -1.0 2.0")
	b.sees(job.ReadingV1{Position: "crank/main/1", Value: "50.0000", Gauge: "M1", PartTemp: "20.0", GaugeTemp: "20.0"})
	b.sees(job.ReadingV1{Position: "piston/skirt/1", Value: "80.0000", Gauge: "M1", PartTemp: "20.0", GaugeTemp: "20.0"})
	a := b.assess(k)
	const kind = 1.4e-6
	widest := math.Hypot(1.0e-6, kind)
	var shares [2]gum.Share
	for i, c := range []struct {
		at         string
		size, u, b float64
	}{{"crank/main/1", 50e-3, 0.3e-6, 1.0e-6}, {"piston/skirt/1", 80e-3, 0.75e-6, 1.0e-6}} {
		v, ok := a.Find(c.at, job.Found)
		if !ok || math.Abs(v.SI-(c.size-c.b)) > 1e-12 {
			t.Fatalf("%s: %v; want %v", c.at, v.SI, c.size-c.b)
		}
		s := biasOf(t, a, v, "M1")
		want := math.Hypot(c.u, kind)
		if math.Abs(s.U-widest) > 1e-15 || math.Abs(math.Abs(s.Sensitivity)*s.U-want) > 1e-13 {
			t.Errorf("%s: leans by %v on a cause of %v; want %v in all", c.at, s.Sensitivity, s.U, want)
		}
		shares[i] = s
	}
	if shares[0].Key != shares[1].Key {
		t.Errorf("two causes: %s, %s", shares[0].Key, shares[1].Key)
	}
}

// Law: a curve that is level everywhere gives what one number gives, and the
// clearance between a part and a bore gauge set on the same micrometer keeps
// its shared cause with either.
func TestLawLevelCurve(t *testing.T) {
	k := tiny(t)
	read := func(calibrate func(b *book)) *Assessment {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.owns("B1", "bore-gauge", "M1")
		calibrate(b)
		b.sees(job.ReadingV1{Position: "piston/skirt/1", Value: "79.950", Gauge: "M1"})
		b.sees(job.ReadingV1{Position: "crank/main/1", Value: "49.950", Gauge: "M1"})
		b.bores(nil)
		return b.assess(k)
	}
	plain := read(func(b *book) { b.calibrated("M1", noon-1, "1.5") })
	level := read(func(b *book) { b.curved("M1", [2]string{"7", "7"}, "25 1.5 1.0", "50 1.5 1.0", "100 1.5 1.0") })
	if len(plain.Values) != len(level.Values) || plain.Tally != level.Tally {
		t.Fatalf("%+v, %+v", plain.Tally, level.Tally)
	}
	for i := range plain.Values {
		p, l := &plain.Values[i], &level.Values[i]
		// 1e-12: the order of two products.
		if p.Y != l.Y || p.U != l.U || p.Verdict != l.Verdict || math.Abs(p.SU-l.SU) > 1e-12*p.SU {
			t.Errorf("%s: %s ± %s %s; with a level curve %s ± %s %s", p.Position, p.Y, p.U, p.Verdict, l.Y, l.U, l.Verdict)
		}
	}
}

// Law: of a comparator nobody wrote down the travel, so that its curve says
// nothing at the size it reads; the one number for the whole range holds.
func TestLawCurveOfComparator(t *testing.T) {
	k := tiny(t)
	read := func(calibrate func(b *book)) *Value {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.owns("B1", "bore-gauge", "M1")
		calibrate(b)
		b.sees(job.ReadingV1{Position: "block/tunnel/1", Value: "54.020", Gauge: "B1", Master: "M1"})
		return b.value(k, "block/tunnel/1")
	}
	plain := read(func(b *book) { b.calibrated("B1", noon-1, "1.5") })
	curve := read(func(b *book) { b.curved("B1", [2]string{"1.5", "1.0"}, "0 0 1.0", "0.5 4 1.0", "1.0 9 1.0") })
	if plain.SI != curve.SI || plain.SU != curve.SU {
		t.Errorf("%v ± %v; with a curve %v ± %v", plain.SI, plain.SU, curve.SI, curve.SU)
	}
}

// Law: a value under a curve says its correction, and its reasons can be
// written out.
func TestCurveExplained(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.curved("M1", [2]string{"9", "9"}, "50 1.0 0.6", "90 3.0 1.0")
	b.sees(job.ReadingV1{Position: "piston/skirt/1", Value: "70.000", Gauge: "M1"})
	a := b.assess(k)
	v, _ := a.Find("piston/skirt/1", job.Found)
	because, _ := a.Explain(v)
	for _, in := range because.Inputs {
		if in.Because != nil && in.Because.Relation == "bias-curve" {
			if x := in.Because.Inputs[0]; x.Value != "0.00200" || x.Unit != "mm" || x.Ref != "M1" {
				t.Errorf("correction %+v", x)
			}
			return
		}
	}
	t.Errorf("no curve in %+v", because)
}
