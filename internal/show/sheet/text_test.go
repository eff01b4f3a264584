package sheet

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
)

// poppler runs pdftotext on a record; without it a test says so and is
// skipped, under CI it fails.
func poppler(t testing.TB, pdf []byte, args ...string) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("pdftotext is needed: install poppler-utils")
		}
		t.Skip("skipped: pdftotext (poppler-utils) is not installed")
	}
	name := filepath.Join(t.TempDir(), "record.pdf")
	if err := os.WriteFile(name, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, append(args, name, "-")...).Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// closeUp leaves a text without any space, so that line ends do not matter.
func closeUp(s string) string {
	return strings.Join(strings.FieldsFunc(clean(s), func(r rune) bool { return r == ' ' || r == '\u00a0' || r == '\n' || r == '\f' }), "")
}

// Law: the text of a record can be searched: every finding's title, every
// reading as often as it was entered, the decision rule, the verdict words,
// the number of each sheet.
func TestRecordIsText(t *testing.T) {
	for _, name := range demoJobs(t) {
		in := demoInput(t, name, "en")
		pdf, err := Record(in)
		if err != nil {
			t.Fatal(err)
		}
		text := poppler(t, pdf, "-raw")
		all := closeUp(text)
		for _, f := range in.Case.FindingsTold(in.Reader) {
			if !strings.Contains(all, closeUp(f.Words.Title)) {
				t.Errorf("%s: the finding %q is not in the text", name, f.Words.Title)
			}
		}
		said, source := in.Case.Rule(in.Reader)
		for _, s := range []string{said, source, in.Reader.T("sheet.invented"), in.Case.Job.Head.Short(), in.Case.Assessment.Rule.Text, in.Case.Assessment.Digest[:16]} {
			if !strings.Contains(all, closeUp(s)) {
				t.Errorf("%s: %q is not in the text", name, s)
			}
		}
		for _, k := range in.Case.Library.Cautions {
			if !strings.Contains(all, closeUp(k.Text.In("en"))) {
				t.Errorf("%s: the caution %s is not in the text", name, k.ID)
			}
		}
		n := strings.Count(text, "\f")
		for i := 1; i <= n; i++ {
			if want := fmt.Sprintf("Sheet %d of %d", i, n); !strings.Contains(strings.ReplaceAll(text, "\u00a0", " "), want) {
				t.Errorf("%s: %q is not in the text", name, want)
			}
		}
		everyReading(t, name, in, text)
	}
}

// everyReading counts the figures of the appendix against the readings.
func everyReading(t *testing.T, name string, in Input, text string) {
	_, appendix, ok := strings.Cut(text, in.Reader.T("sheet.readings.title"))
	if !ok {
		t.Fatalf("%s: no appendix", name)
	}
	have := map[string]int{}
	for _, w := range strings.Fields(appendix) {
		have[w]++
	}
	want := map[string]int{}
	for i := range in.Case.Job.Readings {
		r := &in.Case.Job.Readings[i]
		if r.Unit != "" { // checks stand by their answer, not one by one
			want[clean(in.Reader.Num(r.Value))]++
		}
		head := r.Position[:strings.LastIndex(r.Position+"/", "/")]
		if p, ok := in.Case.Layout.Find(r.Position); ok {
			head = in.Case.Layout.Places[p].Char.ID
		}
		if !strings.Contains(appendix, head) {
			t.Errorf("%s: %s is not in the appendix", name, head)
		}
	}
	for v, n := range want {
		if have[v] < n {
			t.Errorf("%s: the figure %s stands %d times in the appendix, but was read %d times", name, v, have[v], n)
		}
	}
	if len(want) < 100 {
		t.Errorf("%s: only %d different figures were looked for", name, len(want))
	}
}

// hostile is a job whose every free text is as bad as a person can make it.
func hostile(t testing.TB) Input {
	t.Helper()
	long := strings.Repeat("Zylinderkopfdichtungsauflageflächenebenheitsprüfung", 12)
	evil := "\u202e\x1b[31m<script>(\\)%PDF\n" + strings.Repeat("W", 400)
	lib := knowledge(t)
	l := familyOf(t, lib, "corran-24-5")
	var es []entry.Entry
	add := func(kind entry.Kind, payload any) {
		e, err := entry.New(entry.JobStream("bad"), entry.Key{byte(len(es) + 1), 1}, kind, "p-"+strings.Repeat("x", 60), "d", 1700000000000000+int64(len(es))*1e6, payload)
		if err != nil {
			t.Fatal(err)
		}
		es = append(es, e)
	}
	add(entry.JobOpened, job.OpenedV1{Job: "bad", Title: evil + " " + long, Family: l.Family.ID, Engine: long, Use: evil, Note: long + " " + evil, Invented: true})
	for i := range 40 {
		at := i * 7
		for l.Places[at].Char.Relation != "" || l.Places[at].Char.Unit == "" {
			at++
		}
		add(entry.Reading, job.ReadingV1{Position: l.Places[at].ID, State: "after(" + strings.Repeat("hone", 20) + ")", Typed: "999999.999", Value: "999999.999", Unit: l.Places[at].Char.Unit,
			Gauge: strings.Repeat("g", 100), Master: strings.Repeat("m", 100), PartTemp: "21.123456", Condition: []string{long}, Note: evil})
		add(entry.Reading, job.ReadingV1{Position: "no/such/" + strings.Repeat("place", 40) + strconv.Itoa(i), State: "found", Typed: "1", Value: "1", Unit: "mm"})
	}
	add(entry.Observation, job.ObservationV1{Part: "block", Saw: evil, Note: long})
	add(entry.Remark, job.RemarkV1{Text: long + evil})
	return judged(t, lib, l, job.Replay(link(es)), &shop.State{}, "en")
}

// Law: no text leaves the frame, whatever stands in it, nor the title block.
func TestNothingLeavesTheFrame(t *testing.T) {
	inputs := map[string]Input{"hostile": hostile(t)}
	for _, name := range demoJobs(t) {
		inputs[name] = demoInput(t, name, "en")
	}
	word := regexp.MustCompile(`<word xMin="([0-9.-]+)" yMin="([0-9.-]+)" xMax="([0-9.-]+)" yMax="([0-9.-]+)">(.*)</word>`)
	for name, in := range inputs {
		pdf, err := Record(in)
		if err != nil {
			t.Fatal(err)
		}
		keep(t, name+".pdf", pdf)
		seen := 0
		for _, m := range word.FindAllStringSubmatch(poppler(t, pdf, "-bbox"), -1) {
			var box [4]float64
			for i := range box {
				box[i], _ = strconv.ParseFloat(m[i+1], 64)
				box[i] *= 96.0 / 72
			}
			seen++
			// The boxes are those of the type, higher than its letters.
			if box[0] < frameL-0.5 || box[2] > frameR+0.5 || box[1] < frameT-2 || box[3] > frameB+3 {
				t.Errorf("%s: %q stands at %.0f to %.0f, outside the frame %.0f to %.0f", name, m[5], box[0], box[2], frameL, frameR)
			}
		}
		if seen < 300 {
			t.Errorf("%s: only %d words were looked at", name, seen)
		}
		if !bytes.HasPrefix(pdf, []byte("%PDF-")) {
			t.Errorf("%s: no PDF", name)
		}
	}
}
