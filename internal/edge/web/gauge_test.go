package web

import (
	"bytes"
	"html"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

const mic = "/gauge/mic-50-75"

// parts sends a form with files as a browser does.
func (f *shopFloor) parts(path string, fields url.Values, file []byte) *httptest.ResponseRecorder {
	f.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for name, list := range fields {
		for _, v := range list {
			if err := m.WriteField(name, v); err != nil {
				f.t.Fatal(err)
			}
		}
	}
	if file != nil {
		w, err := m.CreateFormFile("file", "paper.xml")
		if err != nil {
			f.t.Fatal(err)
		}
		if _, err := w.Write(file); err != nil {
			f.t.Fatal(err)
		}
	}
	if err := m.Close(); err != nil {
		f.t.Fatal(err)
	}
	return f.do(http.MethodPost, path, &b, "Content-Type", m.FormDataContentType(), "Sec-Fetch-Site", "same-origin")
}

// hidden are the fields that a preview carries to its confirmation.
func hidden(page string) url.Values {
	out := url.Values{}
	for _, m := range regexp.MustCompile(`<input type="hidden" name="([a-z]+)" value="([^"]*)">`).FindAllStringSubmatch(page, -1) {
		out.Add(m[1], html.UnescapeString(m[2]))
	}
	return out
}

// Law: a check is stored once, and the page then tells the bias of the day; a
// slip is said beside its field, with what was typed.
func TestCheckOnAPage(t *testing.T) {
	f := open(t)
	in := url.Values{"key": {key(t, f.get(mic).Body.String())}, "mark": {","}, "master": {"rod-50"}, "true": {"50,000"}, "read": {"50,002"}, "unit": {"mm"}, "person": {"p-7a03"}}
	w := f.post(mic, in)
	wants(t, w, http.StatusSeeOther)
	wants(t, f.get(w.Header().Get("Location")), http.StatusOK, "Stored.", "Checked on rod-50, 2026-11-24", "&#43;2.00", "from the type of the gauge", "Average and range are not shown: they need everybody to check several times on every day")
	wants(t, f.post(mic, in), http.StatusSeeOther)
	in.Set("key", strings.Repeat("ab", 16))
	in.Set("read", "50.00.2")
	wants(t, f.post(mic, in), http.StatusUnprocessableEntity, `value="50.00.2"`, `role="alert"`)
	if n := strings.Count(f.get(mic).Body.String(), "50.002"); n != 1 {
		t.Errorf("the check stands %d times", n)
	}
	wants(t, f.get("/gauges"), http.StatusOK, "mic-50-75", "due 2027-01-13")
	wants(t, f.get("/gauge/none"), http.StatusNotFound)
}

// Law: a typed calibration is shown with what it changes before it is stored.
func TestTypedCalibrationOnAPage(t *testing.T) {
	f := open(t)
	in := url.Values{"key": {key(t, f.get(mic).Body.String())}, "mark": {"."}, "date": {"2026-02-20"}, "due": {"2027-02-20"}, "bias": {"60"}, "unit": {"µm"}, "expanded": {"1.4"},
		"coverage": {"2"}, "certificate": {"C-7"}, "person": {"p-7a03"}}
	w := f.post(mic+"/calibration", in)
	wants(t, w, http.StatusOK, "Understood like this", "becomes", "keep their verdicts", "&#43;60")
	if strings.Contains(f.get(mic).Body.String(), "C-7") {
		t.Error("an offer was stored")
	}
	w = f.parts(mic+"/calibration", hidden(w.Body.String()), nil)
	wants(t, w, http.StatusSeeOther)
	wants(t, f.get(w.Header().Get("Location")), http.StatusOK, "Stored.", "C-7", "due 2027-02-20")
	in.Set("date", "20.2.26")
	wants(t, f.post(mic+"/calibration", in), http.StatusUnprocessableEntity, `value="20.2.26"`, "is not a day")
}

// Law: a certificate is previewed and kept byte for byte only when confirmed.
func TestCertificateOnAPage(t *testing.T) {
	f := open(t)
	file := append([]byte("\xef\xbb\xbf"), bytes.ReplaceAll(sampleCertificate(t, "INV-1102"), []byte("\n"), []byte("\r\n"))...)
	in := url.Values{"key": {key(t, f.get(mic).Body.String())}, "due": {"2027-02-03"}, "person": {"p-7a03"}}
	w := f.parts(mic+"/certificate", in, file)
	wants(t, w, http.StatusOK, "Understood like this", "INV-2026-0001", "65.3712", "carries no signature")
	if strings.Contains(f.get(mic).Body.String(), "INV-2026-0001") {
		t.Error("an offer was stored")
	}
	w = f.parts(mic+"/certificate", hidden(w.Body.String()), nil)
	wants(t, w, http.StatusSeeOther)
	page := f.get(w.Header().Get("Location"))
	wants(t, page, http.StatusOK, "Stored.", "INV-2026-0001", "due 2027-02-03", "A signature in it was not checked")
	m := regexp.MustCompile(`/api/v1/files/[0-9a-f]{64}`).FindString(page.Body.String())
	if got := f.get(m).Body.Bytes(); !bytes.Equal(got, file) {
		t.Errorf("%d bytes came back of %d", len(got), len(file))
	}
	wants(t, f.parts(mic+"/certificate", in, sampleCertificate(t, "1")), http.StatusUnprocessableEntity, "has the serial number INV-1102")
	bad := bytes.Replace(sampleCertificate(t, "INV-1102"), []byte(`\micro\metre`), []byte(`\furlong`), 1)
	wants(t, f.parts(mic+"/certificate", in, bad), http.StatusUnprocessableEntity, "paper.xml:62:")
	wants(t, f.parts(mic+"/certificate", in, nil), http.StatusUnprocessableEntity, `role="alert"`)
}

// Law: a calibration is withdrawn on a page that first tells which verdicts
// leaned on it and what changes; it stays in the list, with the reason. So does
// a check.
func TestWithdrawnOnAPage(t *testing.T) {
	f := open(t)
	page := f.get(mic).Body.String()
	at := regexp.MustCompile(`/gauge/mic-50-75/withdraw/[0-9a-f]{32}`).FindString(page)
	if at == "" {
		t.Fatal("no way to withdraw the calibration of the demo")
	}
	w := f.get(at)
	wants(t, w, http.StatusOK, "Withdraw this calibration", "Verdicts that leaned on it", "What changes without it", "/job/2026-014/at/")
	in := url.Values{"key": {key(t, w.Body.String())}, "reason": {""}, "person": {"p-7a03"}}
	wants(t, f.post(at, in), http.StatusUnprocessableEntity, "the reason stays with the entry")
	in.Set("reason", "paper of another <gauge>")
	w = f.post(at, in)
	wants(t, w, http.StatusSeeOther)
	wants(t, f.get(w.Header().Get("Location")), http.StatusOK, "Stored.", "withdrawn by", "paper of another &lt;gauge&gt;", "No calibration is on record")
	wants(t, f.get(at), http.StatusOK, "withdrawn by", "paper of another")
	in.Set("key", strings.Repeat("ab", 16))
	wants(t, f.post(at, in), http.StatusUnprocessableEntity, "withdrawn by")
	wants(t, f.get("/gauge/mic-50-75/withdraw/"+strings.Repeat("0", 32)), http.StatusNotFound, "no calibration and no check of mic-50-75")

	check := url.Values{"key": {key(t, f.get(mic).Body.String())}, "mark": {"."}, "master": {"rod-50"}, "true": {"50.000"}, "read": {"55.002"}, "unit": {"mm"}, "person": {"p-7a03"}}
	wants(t, f.post(mic, check), http.StatusSeeOther)
	page = f.get(mic).Body.String()
	at = regexp.MustCompile(`/gauge/mic-50-75/withdraw/[0-9a-f]{32}`).FindString(page)
	wants(t, f.get(at), http.StatusOK, "Withdraw this check", "no verdict leans on it")
	wants(t, f.post(at, url.Values{"key": {key(t, f.get(at).Body.String())}, "reason": {"mistyped"}, "person": {"p-7a03"}}), http.StatusSeeOther)
	wants(t, f.get(mic), http.StatusOK, "<s>55.002", "mistyped")
}

// Two people who read the same place with one gauge stand beside one another on
// its page.
func TestGaugeShowsWhatTwoRead(t *testing.T) {
	f := open(t)
	const page = "/gauge/bore-50-150"
	if strings.Contains(f.get(page).Body.String(), `id="twice"`) {
		t.Fatal("somebody read a place twice before")
	}
	for i, who := range []string{"p-7a03", "p-5c1e"} {
		form := f.form([]string{"83.030", "83.034"}[i])
		form.Set("state", "after(hone)")
		form.Set("person", who)
		form["condition"] = []string{"torque-plate", "caps-tight"}
		wants(t, f.post(bore, form), http.StatusSeeOther)
	}
	wants(t, f.get(page), http.StatusOK, `id="twice"`, ">RS<", ">AK<", "−4.00") // RS comes first by id and AK reads less
}
