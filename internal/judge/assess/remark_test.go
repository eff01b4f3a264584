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

const aDay = int64(24 * 3600 * 1e6)

// calibratedUntil enters a calibration of 30 days before the readings with the
// day of the next.
func (b *book) calibratedUntil(gauge string, due int64) {
	b.t.Helper()
	b.n++
	e, err := entry.New(entry.ShopStream, entry.Key{0xfc, b.n}, entry.Calibrated, "AK", "test", noon,
		shop.CalibratedV1{Gauge: gauge, Date: noon - 30*aDay, Due: due, Bias: "0.5", Unit: "µm", Expanded: "1.0", Coverage: "2"})
	if err != nil {
		b.t.Fatal(err)
	}
	b.shop = append(b.shop, entry.Row{Entry: e, Seq: int64(len(b.shop) + 1)})
}

func keysOf(list []Say) string {
	var out []string
	for _, s := range list {
		out = append(out, s.Key+" "+s.Args["gauge"])
	}
	return strings.Join(out, ", ")
}

// Law: a calibration past its date on the day of a reading is told at every
// value that leans on it and at the findings that rest on these, and moves
// nothing; on the day itself it is not past. What does not lean on the gauge,
// because its error cancels, is not told.
func TestLawOverdueIsToldAndMovesNothing(t *testing.T) {
	k := tiny(t)
	read := func(due int64) *Assessment {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.owns("M2", "micrometer", "")
		b.owns("B1", "bore-gauge", "M1")
		b.calibratedUntil("M1", due)
		b.bores(map[string]string{"block/bore/1/H1/T": "80.090"})
		b.sees(job.ReadingV1{Position: "piston/skirt/1", Value: "79.950", Gauge: "M1"})
		b.sees(job.ReadingV1{Position: "piston/skirt/2", Value: "79.950", Gauge: "M2"})
		return b.assess(k)
	}
	none, late := read(0), read(noon-2*aDay)
	if len(none.Values) != len(late.Values) || none.Tally != late.Tally {
		t.Fatalf("%+v, %+v", none.Tally, late.Tally)
	}
	for i := range none.Values {
		n, l := &none.Values[i], &late.Values[i]
		if n.Y != l.Y || n.SU != l.SU || n.Verdict != l.Verdict || n.Conform != l.Conform {
			t.Errorf("%s moved: %s ± %s %s, overdue %s ± %s %s", n.Position, n.Y, n.U, n.Verdict, l.Y, l.U, l.Verdict)
		}
		if len(n.Remarks) > 0 {
			t.Errorf("%s without a date: %v", n.Position, n.Remarks)
		}
	}
	for at, want := range map[string]string{
		"piston/skirt/1":     "value.overdue M1",
		"piston/skirt/2":     "",
		"block/bore/1/H1/T":  "value.overdue M1", // the bore gauge was set on it
		"piston/clearance/1": "",                 // both by M1: cancelled
		"piston/clearance/2": "value.overdue M1", // the bore leans on it, the skirt does not
		"block/bore-taper/1": "",
	} {
		v, ok := late.Find(at, job.Found)
		if !ok {
			if v, ok = late.Find(at+"/T", job.Found); !ok {
				t.Fatalf("no %s", at)
			}
		}
		if got := keysOf(v.Remarks); got != want {
			t.Errorf("%s: %q, want %q", at, got, want)
		}
	}
	if v, _ := late.Find("piston/skirt/1", job.Found); v.Remarks[0].Args["due"] == "" {
		t.Error("the day is not told")
	}
	if len(late.Findings) == 0 || keysOf(late.Findings[0].Remarks) != "value.overdue M1" {
		t.Errorf("findings %+v", late.Findings)
	}
	for _, f := range none.Findings {
		if len(f.Remarks) > 0 {
			t.Errorf("%+v", f.Remarks)
		}
	}
	same := read(noon).Values
	for i := range same {
		if len(same[i].Remarks) > 0 {
			t.Fatalf("on the day itself: %s %v", same[i].Position, same[i].Remarks)
		}
	}
}

// Law: a reading farther outside a curve than a tenth of its range is asked
// about once a part and gauge, told at its value, and judged by the end point
// of the curve; one that lies just outside is not.
func TestLawBeyondTheCurve(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.curved("M1", [2]string{"9", "9"}, "50 1.0 0.6", "70 3.0 1.0")
	b.sees(job.ReadingV1{Position: "crank/main/1", Value: "48.1000", Gauge: "M1", PartTemp: "20.0", GaugeTemp: "20.0"})
	for _, at := range []string{"piston/skirt/1", "piston/skirt/1", "piston/skirt/2"} {
		b.sees(job.ReadingV1{Position: at, Value: "80.0000", Gauge: "M1", PartTemp: "20.0", GaugeTemp: "20.0"})
	}
	a := b.assess(k)
	asked := map[string]int{}
	for _, q := range a.Questions {
		if q.ID == BeyondCurve {
			asked[q.Position]++
			if q.Args["from"] != "50 mm" || q.Args["to"] != "70 mm" || q.Args["gauge"] != "M1" {
				t.Errorf("%+v", q.Args)
			}
		}
	}
	if len(asked) != 2 || asked["piston/skirt/1"] != 1 || asked["piston/skirt/2"] != 1 {
		t.Errorf("asked %v; want once for each piston", asked)
	}
	v, _ := a.Find("piston/skirt/1", job.Found)
	if keysOf(v.Remarks) != "value.beyond M1" || math.Abs(v.SI-(80e-3-3e-6)) > 1e-12 {
		t.Errorf("%v %q; want the bias of the end", v.SI, keysOf(v.Remarks))
	}
	if v, _ := a.Find("crank/main/1", job.Found); len(v.Remarks) > 0 {
		t.Errorf("within a tenth: %v", v.Remarks)
	}
}
