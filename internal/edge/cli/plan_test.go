package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"testing"

	"fettle/internal/judge/plan"
)

// Law: each demonstration job ends with a plan that is whole by every route, made
// from its readings and from the shelf of the demonstration: no demand is in
// conflict, every place has its part, and what has to be bought is offered.
// Synthetic.
func TestLawDemoPlansAreWhole(t *testing.T) {
	for _, id := range []string{"2026-014", "2026-021"} {
		var out, bad bytes.Buffer
		if code := Run(World{Args: []string{"plan", "--demo", id, "--json"}, Out: &out, Err: &bad, Files: os.DirFS("../../../data")}); code != exitDone {
			t.Fatalf("%s: exit %d, %s", id, code, bad.String())
		}
		var got struct{ Plans []plan.Plan }
		if err := json.Unmarshal(out.Bytes(), &got); err != nil {
			t.Fatal(err)
		}
		if len(got.Plans) != 3 {
			t.Fatalf("%s: %d routes", id, len(got.Plans))
		}
		for _, p := range got.Plans {
			if !p.Complete {
				t.Errorf("%s by %s is not whole: conflicts %+v, missing %+v, open %+v", id, p.Route, p.Conflicts, p.Purchase.Missing, p.Open)
			}
			if len(p.Work) < 10 || len(p.Fits) != 9 || len(p.Purchase.Lines) > 0 && p.Purchase.Total == "" || len(p.Purchase.Shelf) < 10 {
				t.Errorf("%s by %s: %d operations, %d fits, total %q, %d from the shelf", id, p.Route, len(p.Work), len(p.Fits), p.Purchase.Total, len(p.Purchase.Shelf))
			}
		}
	}
}
