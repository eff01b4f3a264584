package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

const shells = "/job/2026-014/part/shell-pin"

func (f *shopFloor) seen(where, kind, severity string) url.Values {
	return url.Values{"act": {"observe"}, "key": {key(f.t, f.get(shells).Body.String())}, "where": {where}, "kind": {kind}, "severity": {severity},
		"saw": {"like a new penny"}, "person": {"p-7a03"}}
}

// Law: what is noted on a page is stored once, is told with the evidence to
// take, and stands on the part's page and in the log; what is refused is echoed.
func TestObservationOnAPage(t *testing.T) {
	f := open(t)
	in := f.seen("shell-pin/2/lower", "to-copper", "light")
	w := f.post(shells, in)
	wants(t, w, http.StatusSeeOther)
	wants(t, f.get(w.Header().Get("Location")), http.StatusOK, "Stored as entry", "Evidence to take", "like a new penny")
	if again := f.post(shells, in); again.Header().Get("Location") != w.Header().Get("Location") {
		t.Errorf("the same form sent twice: %s", again.Header().Get("Location"))
	}
	wants(t, f.get("/job/2026-014/log"), http.StatusOK, "worn to the copper, light. like a new penny")
	in = f.seen("shell-pin/2/lower", "to-copper", "")
	wants(t, f.post(shells, in), http.StatusUnprocessableEntity, "Say how bad it is", `value="like a new penny"`, "<details class=\"noting\" open>")
	in = f.seen("crank@pin/9", "scored", "light")
	wants(t, f.post(shells, in), http.StatusUnprocessableEntity, "is no place on this part")
}

func TestAPIObserves(t *testing.T) {
	f := open(t)
	send := func(body string) (w interface {
		Result() *http.Response
	}) {
		return f.do(http.MethodPost, "/api/v1/jobs/2026-014/observations", strings.NewReader(body), "Content-Type", "application/json", "Idempotency-Key", "o-1")
	}
	body := `{"part":"crank","at":"pin/2","kind":"heat-blued","severity":"light","person":"p-7a03"}`
	for i, want := range []int{http.StatusCreated, http.StatusCreated} {
		if got := send(body).Result().StatusCode; got != want {
			t.Errorf("sending %d: %d", i, got)
		}
	}
	if got := send(strings.Replace(body, "pin/2", "pin/3", 1)).Result().StatusCode; got != http.StatusConflict {
		t.Errorf("other content under one key: %d", got)
	}
	if got := send(strings.Replace(body, "pin/2", "cyl/2", 1)).Result().StatusCode; got != http.StatusUnprocessableEntity {
		t.Errorf("a place that a crank does not have: %d", got)
	}
}

// Law: the guide says that it gives no verdict, ranks by what was noted, and an
// observation moves it while no verdict moves.
func TestCausesOnAPageAndForAProgram(t *testing.T) {
	f := open(t)
	wants(t, f.get("/job/2026-014/causes"), http.StatusOK, "never a verdict", "coolant past the gasket", "Whose the numbers are")
	before := f.get("/job/2026-014/assessment.json").Body.String()
	w := f.get("/api/v1/jobs/2026-014/causes")
	wants(t, w, http.StatusOK, `"verdict":"none"`, `"mode":"coolant-leak"`)
	body := `{"part":"piston/2","kind":"melted","severity":"heavy","person":"p-7a03","others_clear":true}`
	f.do(http.MethodPost, "/api/v1/jobs/2026-014/observations", strings.NewReader(body), "Content-Type", "application/json", "Idempotency-Key", "m-1")
	after := f.get("/api/v1/jobs/2026-014/causes").Body.String()
	if !strings.Contains(after, `"causes":[{"mode":"preignition"`) {
		t.Errorf("a melted crown does not lead: %.600s", after)
	}
	if f.get("/job/2026-014/assessment.json").Body.String() != before {
		t.Error("an observation moved the assessment")
	}
}
