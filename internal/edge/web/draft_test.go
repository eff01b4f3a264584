package web

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fettle/internal/judge/compute"
	"fettle/internal/know/library"
)

// formOf reads what a page's form would send as it stands: every field with its
// value, chosen option or tick.
func formOf(page string) url.Values {
	out := url.Values{}
	attr := func(tag, name string) string {
		m := regexp.MustCompile(` ` + name + `="([^"]*)"`).FindStringSubmatch(tag)
		if m == nil {
			return ""
		}
		return strings.NewReplacer("&amp;", "&", "&lt;", "<", "&gt;", ">", "&#34;", `"`, "&#39;", "'", "&#43;", "+").Replace(m[1])
	}
	for _, tag := range regexp.MustCompile(`<input[^>]*>`).FindAllString(page, -1) {
		if t := attr(tag, "type"); (t == "radio" || t == "checkbox") && !strings.Contains(tag, " checked") {
			continue
		}
		out.Set(attr(tag, "name"), attr(tag, "value"))
	}
	for _, m := range regexp.MustCompile(`(?s)<select([^>]*)>(.*?)</select>`).FindAllStringSubmatch(page, -1) {
		value := ""
		for _, o := range regexp.MustCompile(`<option[^>]*>`).FindAllString(m[2], -1) {
			if strings.Contains(o, " selected") {
				value = attr(o, "value")
			}
		}
		out.Set(attr(m[1], "name"), value)
	}
	return out
}

// A mechanic makes a family from the single with another limit of the bore,
// without writing a file: begins, changes, is asked for the source, sees the
// difference, takes the file home, takes the family up and opens a job with it.
func TestAFamilyIsMadeFromANearOne(t *testing.T) {
	f := open(t)
	start := f.get("/family/brae-05-1/revise")
	wants(t, start, http.StatusOK, `value="brae-05-1" selected`)
	in := formOf(start.Body.String())
	in.Set("kind", "own")
	wants(t, f.post("/family/new", in), http.StatusUnprocessableEntity, "an id of its own", "Give the new family a name")
	in.Set("id", "glen-05-1")
	in.Set("name", `Glen 0.5, "bored" & sleeved`)
	w := f.post("/family/new", in)
	wants(t, w, http.StatusSeeOther)
	draft := w.Header().Get("Location")
	wants(t, f.get(draft), http.StatusOK, "Glen 0.5, &#34;bored&#34; &amp; sleeved", "Download the family file")

	sheet := f.get(draft + "/part/block")
	wants(t, sheet, http.StatusOK, "Bore diameter", "invented for the demo")
	typed := formOf(sheet.Body.String())
	if typed.Get("block/bore.limits[1].max") != "89.047" || typed.Get("block/bore.nominal") != "89.012" {
		t.Fatalf("the sheet shows %q", typed.Get("block/bore.limits[1].max"))
	}
	typed.Set("block/bore.limits[1].max", "89.070")
	w = f.post(draft+"/part/block", typed)
	wants(t, w, http.StatusUnprocessableEntity, `value="89.070"`, "Say where the new limit comes from", "Say how far the new limit has been reviewed")
	if strings.Contains(f.get(draft).Body.String(), "89.070") {
		t.Error("a limit without a label was saved")
	}
	typed.Set("from", "+")
	typed.Set("status", "manual in hand")
	typed.Set("source.title", "Glen workshop manual, synthetic")
	wants(t, f.post(draft+"/part/block", typed), http.StatusUnprocessableEntity, "Say what kind of source it is", "Say how much of it was seen", `value="Glen workshop manual, synthetic"`)
	typed.Set("source.kind", "book")
	typed.Set("source.seen", "read")
	typed.Set("source.place", "page 31")
	w = f.post(draft+"/part/block", typed)
	wants(t, w, http.StatusSeeOther)
	wants(t, f.get(w.Header().Get("Location")), http.StatusOK, "89.070", "89.047", "Glen workshop manual, synthetic, page 31", "manual in hand", "1 change")
	// The saved sheet sent again as it stands changes nothing.
	again := formOf(f.get(draft + "/part/block").Body.String())
	wants(t, f.post(draft+"/part/block", again), http.StatusSeeOther)
	wants(t, f.get(draft), http.StatusOK, "89.070", "1 change")

	file := f.get(draft + "/family.yaml")
	wants(t, file, http.StatusOK, "id: glen-05-1", "source: glen-workshop-manual-synthetic, status: manual in hand")
	if d := file.Header().Get("Content-Disposition"); d != `attachment; filename="glen-05-1.yaml"` {
		t.Errorf("the file is handed out as %q", d)
	}
	lints(t, file.Body.Bytes())

	wants(t, f.post(draft, url.Values{"act": {"adopt"}, "person": {""}}), http.StatusUnprocessableEntity, "Say who")
	w = f.post(draft, url.Values{"act": {"adopt"}, "person": {"p-7a03"}})
	wants(t, w, http.StatusSeeOther)
	wants(t, f.get(w.Header().Get("Location")), http.StatusOK, "Taken up as version", "Glen workshop manual, synthetic, page 31")
	wants(t, f.get(draft), http.StatusNotFound)

	opening := formOf(f.get("/open").Body.String())
	opening.Set("job", "glen-1")
	opening.Set("title", "The first of its kind")
	opening.Set("family", "glen-05-1")
	opening.Set("person", "p-7a03")
	wants(t, f.post("/open", opening), http.StatusSeeOther)
	wants(t, f.get("/job/glen-1"), http.StatusOK, "Glen 0.5")
	wants(t, f.get("/job/glen-1/at/block/bore/1/H1/T"), http.StatusOK, "89.070", "Glen workshop manual, synthetic, page 31")
}

// lints holds a file against the shipped knowledge as fettle family lint does.
func lints(t *testing.T, text []byte) {
	t.Helper()
	files := library.Files{}
	for _, n := range []string{"sources.yaml", "materials.yaml", "instruments.yaml", "findings.yaml", "plan.csv", "words/en.yaml"} {
		b, err := os.ReadFile(filepath.Join(data, n))
		if err != nil {
			t.Fatal(err)
		}
		files[n] = b
	}
	lib, faults := library.Read(files, compute.Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if _, faults := lib.Family("family/glen-05-1.yaml", text); len(faults) > 0 {
		t.Errorf("the exported file: %v", faults)
	}
}

// A revision of a family that a job is open with: the job says so on its first
// page, shows what would change and moves when someone says why.
func TestAJobMovesToARevision(t *testing.T) {
	f := open(t)
	w := f.post("/family/new", url.Values{"base": {"corran-24-5"}, "kind": {"revision"}})
	wants(t, w, http.StatusSeeOther)
	draft := w.Header().Get("Location")
	typed := formOf(f.get(draft + "/part/block").Body.String())
	typed.Set("block/bore.limits[1].max", "83.030")
	typed.Set("from", "invented-demo")
	typed.Set("status", "from memory")
	typed.Set("block/bore-taper.limits[1].drop", "yes")
	typed.Set("block/bore-taper.limits[1].reason", "the maker gives none")
	wants(t, f.post(draft+"/part/block", typed), http.StatusSeeOther)
	wants(t, f.get(draft), http.StatusOK, "dropped", "83.030", "A revision of")
	wants(t, f.get(draft+"/family.yaml"), http.StatusOK, "# Limit for reuse (max 0.025 mm) dropped: the maker gives none", "revises: ")
	front := f.get("/job/2026-014").Body.String()
	if strings.Contains(front, "repin") {
		t.Error("the job speaks of a version that nobody has taken up")
	}
	wants(t, f.post(draft, url.Values{"act": {"adopt"}, "person": {"p-7a03"}}), http.StatusSeeOther)
	wants(t, f.get("/job/2026-014"), http.StatusOK, "This job stands on version", "/job/2026-014/repin")
	form := f.get("/job/2026-014/repin")
	wants(t, form, http.StatusOK, "verdicts would be others", "83.030", "Bore diameter")
	before := f.get("/job/2026-014/assessment.json").Body.String()
	in := formOf(form.Body.String())
	in.Set("person", "p-7a03")
	wants(t, f.post("/job/2026-014/repin", in), http.StatusUnprocessableEntity, "Say why")
	in.Set("reason", "the manual came")
	if now := f.get("/job/2026-014/assessment.json").Body.String(); now != before {
		t.Error("a move that was refused changed the judgement")
	}
	for range 2 {
		wants(t, f.post("/job/2026-014/repin", in), http.StatusSeeOther)
	}
	if now := f.get("/job/2026-014/assessment.json").Body.String(); now == before || !strings.Contains(now, in.Get("to")) {
		t.Error("the job has not moved")
	}
	if strings.Contains(f.get("/job/2026-014").Body.String(), "This job stands on version") {
		t.Error("the job still speaks of another version")
	}
	wants(t, f.get("/job/2026-014/log"), http.StatusOK, "family repinned", "the manual came")
	wants(t, f.get("/job/2026-014/repin"), http.StatusOK, "the one that holds")
}

func TestDraftsThatAreNotThere(t *testing.T) {
	f := open(t)
	for _, p := range []string{"/draft/none", "/draft/none/engine", "/draft/none/part/block", "/draft/none/family.yaml", "/draft/..%2f..%2fx", "/family/none/revise", "/job/none/repin"} {
		wants(t, f.get(p), http.StatusNotFound, "<h1>")
	}
	w := f.post("/family/new", url.Values{"base": {"brae-05-1"}, "id": {"x-1"}, "name": {"X"}, "kind": {"own"}})
	draft := w.Header().Get("Location")
	wants(t, f.get(draft+"/part/none"), http.StatusNotFound)
	wants(t, f.post(draft, url.Values{"act": {"what"}}), http.StatusUnprocessableEntity)
	wants(t, f.post(draft+"/engine", url.Values{"engine.rod": {"30"}, "mark": {"."}}), http.StatusSeeOther)
	wants(t, f.get(draft), http.StatusOK, "must be longer than half the stroke", "Rod, centre distance", "line ")
	wants(t, f.get(draft+"/family.yaml"), http.StatusUnprocessableEntity, "must be longer than half the stroke")
	wants(t, f.post(draft, url.Values{"act": {"adopt"}, "person": {"p-7a03"}}), http.StatusUnprocessableEntity)
	wants(t, f.post(draft, url.Values{"act": {"discard"}}), http.StatusSeeOther)
	wants(t, f.get(draft), http.StatusNotFound)
}
