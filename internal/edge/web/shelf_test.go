package web

import (
	"encoding/base64"
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// shelfSheet is synthetic.
const shelfSheet = `# fettle shelf 1
row,lot,kind,family,size,count,piece,measure,value,unit,gauge,min,max,supplier,name,price,days_low
supplier,,,,,,,,,,,,,s-1,Invented parts,,
price,,shim,corran-24-5,2.60 mm,,,,,,,,,s-1,,4.20 EUR,2
lot,t-1,shim,corran-24-5,2.60 mm,3,,,,,,,,s-1,,,
accept,t-1,,,,,,thickness,,mm,,2.59,2.61,,,,
piece,t-1,,,,,1,thickness,2.601,mm,mic-0-25,,,,,,
piece,t-1,,,,,2,thickness,2.553,mm,mic-0-25,,,,,,
`

// stocked puts that sheet on the shelf through the page: offered, then taken.
func (f *shopFloor) stocked() {
	f.t.Helper()
	fields := url.Values{"act": {"file"}, "mark": {"point"}, "person": {"p-5c1e"}, "key": {strings.Repeat("a", 32)}}
	w := f.parts("/shelf", fields, []byte(shelfSheet))
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "Store this shelf") {
		f.t.Fatalf("%d: %.2000s", w.Code, w.Body.String())
	}
	fields.Set("act", "take")
	fields.Set("name", "shelf.csv")
	fields.Set("kept", base64.StdEncoding.EncodeToString([]byte(shelfSheet)))
	if w := f.parts("/shelf", fields, nil); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/shelf?stored=4" {
		f.t.Fatalf("%d to %s", w.Code, w.Header().Get("Location"))
	}
}

// Law: a shelf read in through the page is on it, and everything wrong with a
// sheet is listed at once with its line.
func TestShelfPages(t *testing.T) {
	f := open(t)
	f.stocked()
	wants(t, f.get("/shelf?stored=4"), http.StatusOK, "4 entries were stored", "t-1", "1 did not pass", "1 not measured")
	wants(t, f.get("/shelf/t-1"), http.StatusOK, "did not pass", "not measured", "2.601", "4.20", "Invented parts")
	wants(t, f.get("/shelf/t-9"), http.StatusNotFound, "<h1>")
	bad := strings.Replace(strings.Replace(shelfSheet, "4.20 EUR", "4.20", 1), "lot,t-1,shim,corran-24-5,2.60 mm,3", "lot,t-2,shim,corran-24-5,0.00 mm,-3", 1)
	fields := url.Values{"act": {"file"}, "mark": {"point"}, "person": {"p-5c1e"}, "key": {strings.Repeat("b", 32)}}
	wants(t, f.parts("/shelf", fields, []byte(bad)), http.StatusUnprocessableEntity, "paper.xml:4", "no currency", "paper.xml:5", "above nought", "less than nothing")
	form := func(act string, pairs ...string) url.Values {
		v := url.Values{"act": {act}, "mark": {"point"}, "person": {"p-5c1e"}, "key": {key(t, f.get("/shelf").Body.String())}}
		for i := 0; i < len(pairs); i += 2 {
			v.Set(pairs[i], pairs[i+1])
		}
		return v
	}
	wants(t, f.post("/shelf", form("lot", "lot", "t-3", "kind", "shim", "size", "0.00 mm", "count", "2")), http.StatusUnprocessableEntity, "above nought", `value="t-3"`)
	wants(t, f.post("/shelf", form("price", "kind", "shim", "supplier", "s-1", "price", "4.20", "days_low", "2")), http.StatusUnprocessableEntity, "no currency")
	wants(t, f.post("/shelf/t-1", form("piece", "piece", "3", "measure", "thickness", "value", "0.000 mm", "gauge", "mic-0-25")), http.StatusUnprocessableEntity, "above nought")
	wants(t, f.post("/shelf/t-1", form("piece", "piece", "3", "measure", "thickness", "value", "2.604 mm", "gauge", "mic-0-25")), http.StatusSeeOther)
	wants(t, f.post("/shelf/t-1", form("leave", "pieces", "2", "why", "sent-back", "note", "not this size")), http.StatusSeeOther)
	wants(t, f.get("/shelf/t-1"), http.StatusOK, "2.604", "Sent back. not this size", "2 of 3 free")
}

// Law: on the page of its parts a job gives a piece a place once, takes it back
// for a reason, orders, receives, and sends out.
func TestPartsPage(t *testing.T) {
	f := open(t)
	f.stocked()
	const at = "/job/2026-014/parts"
	send := func(act string, pairs ...string) url.Values {
		v := url.Values{"act": {act}, "mark": {"point"}, "person": {"p-5c1e"}, "key": {key(t, f.get(at).Body.String())}}
		for i := 0; i < len(pairs); i += 2 {
			v.Set(pairs[i], pairs[i+1])
		}
		return v
	}
	wants(t, f.get(at+"?kind=shim"), http.StatusOK, `value="t-1:1"`, `value="valvetrain/1/I1"`)
	if strings.Contains(f.get(at+"?kind=shim").Body.String(), `value="t-1:2"`) {
		t.Error("a piece that did not pass is offered")
	}
	wants(t, f.post(at, send("give", "give", "t-1:2", "part", "valvetrain/1/I1", "kind", "shim")), http.StatusUnprocessableEntity, "did not pass")
	wants(t, f.post(at, send("give", "give", "t-1:1", "part", "valvetrain/1/I1", "kind", "shim")), http.StatusSeeOther)
	wants(t, f.post(at, send("give", "give", "t-1:1", "part", "valvetrain/2/I1", "kind", "shim")), http.StatusUnprocessableEntity, "already in job 2026-014")
	wants(t, f.get("/shelf/t-1"), http.StatusOK, "in use:", "valvetrain/1/I1")
	j, err := f.bench.Judge(t.Context(), "2026-014")
	if err != nil {
		t.Fatal(err)
	}
	k := j.Job.Given()[0].Key
	wants(t, f.post(at, send("free-"+k, "target", k)), http.StatusUnprocessableEntity)
	wants(t, f.post(at, send("free-"+k, "target", k, "reason", "too thick")), http.StatusSeeOther)
	wants(t, f.post(at, send("order", "order", "B-1", "supplier", "s-1", "kind", "shim", "size", "2.60 mm", "count", "2")), http.StatusSeeOther)
	wants(t, f.get(at), http.StatusOK, "2 pieces of order B-1 are still to come from Invented parts", "4.20")
	wants(t, f.post(at, send("receive-B-1-1", "order", "B-1", "line", "1", "taken", "1", "returned", "1", "lot", "B-1-1a", "reason", "2.55 in the bag")), http.StatusSeeOther)
	wants(t, f.get(at), http.StatusOK, "1 piece of order B-1 is still to come", "It came and was not measured yet", "/shelf/B-1-1a")
	wants(t, f.post(at, send("out", "part", "crank", "operation", "grind", "to", "s-1", "price", "240.00")), http.StatusUnprocessableEntity, "no currency")
	wants(t, f.post(at, send("out", "part", "crank", "operation", "grind", "to", "s-1", "price", "240.00 EUR")), http.StatusSeeOther)
	wants(t, f.get(at), http.StatusOK, "Out of the house at Invented parts")
}
