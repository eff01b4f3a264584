package web

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

func (f *shopFloor) send(body, key string) *httptest.ResponseRecorder {
	f.t.Helper()
	h := []string{"Content-Type", "application/json"}
	if key != "" {
		h = append(h, "Idempotency-Key", key)
	}
	return f.do(http.MethodPost, "/api/v1/jobs/2026-014/readings", strings.NewReader(body), h...)
}

const good = `{"position":"block/bore/5/H2/T","value":"83.0290","unit":"mm","gauge":"bore-50-150","master":"mic-75-100","person":"p-7a03","part_temp":"19.0","gauge_temp":"19.0"}`

func TestAPIRecordsOnce(t *testing.T) {
	f := open(t)
	w := f.send(good, "k-1")
	wants(t, w, http.StatusCreated, `"typed":"83.0290 mm"`, `"again":false`, `"verdict":"`)
	var first, second struct {
		Sequence int64
		Head     string
		Again    bool
	}
	if err := json.Unmarshal(w.Body.Bytes(), &first); err != nil {
		t.Fatal(err)
	}
	w = f.send(good, "k-1")
	if err := json.Unmarshal(w.Body.Bytes(), &second); err != nil {
		t.Fatal(err)
	}
	if second.Sequence != first.Sequence || second.Head != first.Head || !second.Again || first.Sequence == 0 {
		t.Errorf("the first receipt is %+v, the repeat's %+v", first, second)
	}
	wants(t, f.send(strings.Replace(good, "83.0290", "83.0291", 1), "k-1"), http.StatusConflict, "stored before with other content")
	wants(t, f.send(good, "k-2"), http.StatusCreated, `"again":false`)
	wants(t, f.send(good, ""), http.StatusUnprocessableEntity, "Idempotency-Key")
}

func TestAPIRefuses(t *testing.T) {
	f := open(t)
	for _, c := range [][2]string{
		{strings.Replace(good, `"unit":"mm",`, "", 1), "unit"},
		{strings.Replace(good, `"unit":"mm"`, `"unit":""`, 1), "has no unit"},
		{strings.Replace(good, `"83.0290"`, `83.029`, 1), "expected string"},
		{strings.Replace(good, `83.0290`, `83,0290`, 1), "decimal mark"},
		{strings.Replace(good, `83.0290`, `1e3`, 1), "not a plain number"},
		{strings.Replace(good, `bore/5`, `bore/6`, 1), "not a position"},
		{strings.Replace(good, `"mm"`, `"kg"`, 1), "does not measure this"},
		{strings.Replace(good, `"person"`, `"persona"`, 1), "unexpected property"},
	} {
		wants(t, f.send(c[0], "k-3"), http.StatusUnprocessableEntity, c[1])
	}
	wants(t, f.get("/api/v1/jobs/none"), http.StatusNotFound, "There is no job none")
}

func TestAPIReads(t *testing.T) {
	f := open(t)
	wants(t, f.get("/api/v1/jobs"), http.StatusOK, `"job":"2026-014"`)
	w := f.get("/api/v1/jobs/2026-014")
	wants(t, w, http.StatusOK, `"head":"`, `"family_digest":"`)
	a, b := f.get("/api/v1/jobs/2026-014/assessment"), f.get("/job/2026-014/assessment.json")
	wants(t, a, http.StatusOK, `"fettle":"assessment/1"`)
	if strings.TrimSpace(a.Body.String()) != strings.TrimSpace(b.Body.String()) {
		t.Error("the page's assessment and the API's differ")
	}
	w = f.get("/api/openapi.json")
	wants(t, w, http.StatusOK, `"openapi":"3.1.0"`, "Idempotency-Key", "/api/v1/jobs/{job}/readings")
	for _, other := range []string{"http://", "https://", "unpkg", "cdn"} {
		body := strings.ReplaceAll(w.Body.String(), "https://example.com", "") // reserved for examples, RFC 2606
		if strings.Contains(body, other) {
			t.Errorf("the description of the API names %q", other)
		}
	}
	wants(t, f.get("/docs"), http.StatusNotFound)
}
