package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"fettle/internal/judge/compute"
)

func (f *shopFloor) compute(name, body string) *httptest.ResponseRecorder {
	f.t.Helper()
	return f.do(http.MethodPost, "/api/v1/compute/"+name, strings.NewReader(body), "Content-Type", "application/json")
}

// Law: every computation is listed, tells its schema and an example, and gives
// over HTTP, byte for byte in compact form, what it gives by name.
func TestAPIComputeIsCompute(t *testing.T) {
	f := open(t)
	list := f.get("/api/v1/compute").Body.String()
	for _, e := range compute.Entries() {
		if testing.Short() && e.Equation == "" {
			continue // the race detector makes drawing slow
		}
		if !strings.Contains(list, `"name":"`+e.Name+`"`) {
			t.Errorf("%s is not listed", e.Name)
		}
		w := f.get("/api/v1/compute/" + e.Name)
		if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/schema+json" || !bytes.Equal(w.Body.Bytes(), e.Schema()) {
			t.Errorf("%s: its schema came as %d %s", e.Name, w.Code, w.Header().Get("Content-Type"))
		}
		in := f.get("/api/v1/compute/" + e.Name + "?example=true").Body.Bytes()
		if !bytes.Equal(in, e.Example()) {
			t.Errorf("%s: its example came as %s", e.Name, in)
		}
		answer, err := e.Run(in)
		if err != nil {
			t.Fatalf("%s: %v", e.Name, err)
		}
		want, err := json.Marshal(answer)
		if err != nil {
			t.Fatal(err)
		}
		got := f.compute(e.Name, string(in))
		var compact, plain bytes.Buffer
		if err := json.Compact(&compact, got.Body.Bytes()); err != nil || got.Code != http.StatusOK {
			t.Errorf("%s: %d %s", e.Name, got.Code, got.Body)
			continue
		}
		// Whether < stands as itself or as an escape is the writer's choice.
		unescape := strings.NewReplacer(`\u003c`, "<", `\u003e`, ">", `\u0026`, "&")
		plain.WriteString(unescape.Replace(string(want)))
		if unescape.Replace(compact.String()) != plain.String() {
			t.Errorf("%s:\n%s\nwant\n%s", e.Name, compact.String(), plain.String())
		}
	}
}

// Law: a mistake is told with the member it belongs to, all mistakes at once.
func TestAPIComputeRefuses(t *testing.T) {
	f := open(t)
	wants(t, f.get("/api/v1/compute/nothing"), http.StatusNotFound, "There is no computation nothing")
	wants(t, f.compute("nothing", "{}"), http.StatusNotFound, "There is no computation nothing")
	w := f.compute("clearance", `{"hole": ["83.045 furlong"]}`)
	wants(t, w, http.StatusUnprocessableEntity, `"location":"body.hole[0]"`, "furlong", "shaft")
	wants(t, f.compute("clearance", `{"hole": ["83.045 mm"], "shaft": ["82.980 g"]}`), http.StatusUnprocessableEntity, `"location":"body.shaft[0]"`)
	wants(t, f.compute("clearance", `{"hole`), http.StatusUnprocessableEntity, `"location":"body:1:`)
	wants(t, f.compute("clearance", strings.Repeat(" ", mostInput+1)), http.StatusRequestEntityTooLarge)
}
