package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// Law: a decision is taken with a reason and a name, from the ways out that the
// finding offers; it stands beside the finding, in the log and before the route in
// the plan, and what is refused is echoed.
func TestDecisionOnAPage(t *testing.T) {
	f := open(t)
	const at = "/job/2026-014/findings"
	form := func(outcome, reason string) url.Values {
		return url.Values{"act": {"decide-bore-taper-block"}, "key": {key(f.t, f.get(at).Body.String())}, "finding": {"bore-taper@block"}, "outcome": {outcome}, "reason": {reason}, "person": {"p-7a03"}}
	}
	wants(t, f.get("/job/2026-014/plan?route=restore"), http.StatusOK, "Which part goes where", "83.250")
	wants(t, f.post(at, form("reuse-with-note", "")), http.StatusUnprocessableEntity, `class="decide" open`)
	wants(t, f.post(at, form("replace", "so be it")), http.StatusUnprocessableEntity, "not a way out", `value="so be it"`)
	in := form("reuse-with-note", "the owner agrees to rings alone")
	w := f.post(at, in)
	wants(t, w, http.StatusSeeOther)
	wants(t, f.get(w.Header().Get("Location")), http.StatusOK, "Stored as entry", "the owner agrees to rings alone")
	if again := f.post(at, in); again.Header().Get("Location") != w.Header().Get("Location") {
		t.Errorf("the same form sent twice: %s", again.Header().Get("Location"))
	}
	wants(t, f.get("/job/2026-014/log"), http.StatusOK, "the owner agrees to rings alone")
	wants(t, f.get("/job/2026-014/plan?route=restore"), http.StatusOK, "Decided by a person", "the owner agrees to rings alone")
}

// Law: a plan is a page and plan/1, a wish that is none is said beside its form,
// and a route that is not there as well.
func TestPlanOnAPage(t *testing.T) {
	f := open(t)
	w := f.get("/job/2026-014/plan.json?route=refresh")
	wants(t, w, http.StatusOK, `"fettle":"plan/1"`, `"route":"refresh"`)
	for _, q := range []string{"ratio=much", "ratio=99", "days=-4", "days=soon", "use=moon", "route=nowhere"} {
		w := f.get("/job/2026-014/plan?" + q)
		wants(t, w, http.StatusUnprocessableEntity, `class="bad" role="alert"`)
		if strings.Contains(w.Body.String(), "[plan.") {
			t.Errorf("%s: a sentence is missing", q)
		}
	}
}
