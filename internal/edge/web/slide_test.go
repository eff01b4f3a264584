package web

import (
	"net/http"
	"strings"
	"testing"
)

// The page of the engine as it runs names the big end that was planted, what the
// build that lived has, and the best of clearances and oils; a move of a slider
// gives the part that changes and nothing else.
func TestRunningPage(t *testing.T) {
	f := open(t)
	const at = "/job/2026-014/running"
	w := f.get(at)
	wants(t, w, http.StatusOK, "Big end bearing shells, cylinder 4 stands out", "build that lived", "Clearances and oils", `name="speed"`, "What this leaves out", "<svg")
	moved := f.get(at + "?part=moved&clear=try&pin=45&main=50&speed=6000&oil=oil-10w-60&bearing=shell-pin/2")
	wants(t, moved, http.StatusOK, "Big end bearing shells, cylinder 2: least film", "45.0", "<svg")
	if body := moved.Body.String(); strings.Contains(body, "<html") || strings.Contains(body, "stands out") {
		t.Error("a move gives more than what changes")
	}
	for q, says := range map[string]string{"speed=90000": "90000", "inlet=cold": "cold", "clear=try&pin=0.5": "0.5", "oil=butter": "butter", "bearing=shell-pin/99": "shell-pin/99"} {
		if w := f.get(at + "?" + q); w.Code < 400 || w.Code >= 500 || !strings.Contains(w.Body.String(), says) {
			t.Errorf("%s: %d, and no word of %s", q, w.Code, says)
		}
	}
}

// The page before a cut says what is worse after it, and which gasket makes up
// for it.
func TestConsequencesPage(t *testing.T) {
	f := open(t)
	const at = "/job/2026-014/consequences"
	wants(t, f.get(at), http.StatusOK, "Nothing is cut yet", `name="head"`)
	wants(t, f.get(at+"?head=0.15&block=0.10"), http.StatusOK, "0.25", "late", "breaks least", "Compression ratio", "as drawn; not read on this engine")
	moved := f.get(at + "?part=moved&head=0.15&block=0.10&tunnel=0&gasket=rework&oversize=")
	wants(t, moved, http.StatusOK, "The gasket makes up for the cut")
	if strings.Contains(moved.Body.String(), "<html") {
		t.Error("a move gives a whole page")
	}
	wants(t, f.get(at+"?oversize=0.50+mm"), http.StatusOK, "Thinnest wall")
	for q, says := range map[string]string{"head=-1": "head", "head=9": "5", "gasket=tin": "tin", "oversize=0.33+mm": "0.33", "block=x": "x"} {
		if w := f.get(at + "?" + q); w.Code < 400 || w.Code >= 500 || !strings.Contains(w.Body.String(), says) {
			t.Errorf("%s: %d, and no word of %s", q, w.Code, says)
		}
	}
}
