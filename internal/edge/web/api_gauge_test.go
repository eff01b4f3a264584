package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
)

// Certificates here are the invented ones of facts/certificate.

// certificate is the sample with the serial number of a gauge of the demo.
func sampleCertificate(t testing.TB, serial string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../facts/certificate/testdata/micrometer-3.1.2.xml")
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Replace(b, []byte("4711"), []byte(serial), 1)
}

func (f *shopFloor) hand(path string, file []byte) *httptest.ResponseRecorder {
	f.t.Helper()
	return f.do(http.MethodPost, path, bytes.NewReader(file), "Content-Type", "application/xml")
}

// Law: a certificate is told, then kept, then handed back byte for byte; the
// gauge shows its curve.
func TestAPICertificate(t *testing.T) {
	f := open(t)
	const at = "/api/v1/gauges/mic-50-75/certificates?name=c.xml&person=p-7a03"
	file := sampleCertificate(t, "INV-1102")
	w := f.hand(at, file)
	wants(t, w, http.StatusOK, `"stored":false`, `"certificate":"INV-2026-0001"`, "carries no signature", `"at":"65.3712"`, `"reopened"`)
	var offer struct {
		Calibration struct{ File string }
	}
	if err := json.Unmarshal(w.Body.Bytes(), &offer); err != nil {
		t.Fatal(err)
	}
	kept := "/api/v1/files/" + offer.Calibration.File
	wants(t, f.get(kept), http.StatusNotFound, "not beside the log")
	wants(t, f.hand(at+"&store=true&due=2027-02-03", file), http.StatusCreated, `"stored":true`, `"again":false`, `"due":"2027-02-03"`)
	wants(t, f.hand(at+"&store=true&due=2027-02-03", file), http.StatusCreated, `"again":true`)
	w = f.get(kept)
	if !bytes.Equal(w.Body.Bytes(), file) || w.Header().Get("Content-Disposition")[:10] != "attachment" || w.Header().Get("Content-Type") != "application/octet-stream" {
		t.Errorf("the file came back as %v, %d bytes", w.Header(), w.Body.Len())
	}
	wants(t, f.get("/api/v1/gauges/mic-50-75"), http.StatusOK, `"certificate":"INV-2026-0001"`, `"bias":"1.2"`, `"overdue":false`)
	wants(t, f.get("/api/v1/gauges/mic-50-75/leaned"), http.StatusOK, `"job":"2026-014"`, `"part":"`)
	wants(t, f.get("/api/v1/gauges"), http.StatusOK, `"gauge":"rod-50"`)
}

// Law: what is wrong with a certificate is told with its line; with a gauge,
// with its field; nothing is kept.
func TestAPICertificateRefuses(t *testing.T) {
	f := open(t)
	wants(t, f.hand("/api/v1/gauges/none/certificates", sampleCertificate(t, "1")), http.StatusNotFound, "no gauge none")
	wants(t, f.hand("/api/v1/gauges/mic-50-75/certificates", sampleCertificate(t, "1")), http.StatusConflict, "has the serial number INV-1102")
	bad := bytes.Replace(sampleCertificate(t, "INV-1102"), []byte(`\micro\metre`), []byte(`\furlong`), 1)
	wants(t, f.hand("/api/v1/gauges/mic-50-75/certificates?name=c.xml", bad), http.StatusUnprocessableEntity, "c.xml:62:", "is not a unit that is known here")
	wants(t, f.hand("/api/v1/gauges/mic-50-75/certificates", []byte("<!DOCTYPE x><x/>")), http.StatusUnprocessableEntity, "document type")
	wants(t, f.hand("/api/v1/gauges/mic-50-75/certificates", bytes.Repeat([]byte(" "), 9<<20)), http.StatusRequestEntityTooLarge)
	wants(t, f.get("/api/v1/gauges/none/leaned"), http.StatusNotFound, "no gauge none")
	wants(t, f.get("/api/v1/gauges/none"), http.StatusNotFound, "no gauge none")
	wants(t, f.get("/api/v1/files/"+strings.Repeat("z", 64)), http.StatusUnprocessableEntity, "not the name of a kept file")
}

// Law: a check is stored once and answered with the session it belongs to.
func TestAPICheck(t *testing.T) {
	f := open(t)
	const body = `{"master":"rod-50","true":"50.000","read":"50.002","unit":"mm","person":"p-7a03"}`
	send := func(body, key string) *httptest.ResponseRecorder {
		return f.do(http.MethodPost, "/api/v1/gauges/mic-50-75/checks", strings.NewReader(body), "Content-Type", "application/json", "Idempotency-Key", key)
	}
	wants(t, send(body, "c-1"), http.StatusCreated, `"again":false`, `"bias":"2.00"`, `"unit":"µm"`, `"method":"`)
	wants(t, send(body, "c-1"), http.StatusCreated, `"again":true`)
	wants(t, send(strings.Replace(body, "50.002", "50.003", 1), "c-1"), http.StatusConflict, "stored before with other content")
	wants(t, send(strings.Replace(body, "rod-50", "none", 1), "c-2"), http.StatusUnprocessableEntity, "body.master", "no master or gauge none")
	wants(t, send(strings.Replace(body, `"unit":"mm"`, `"unit":""`, 1), "c-3"), http.StatusUnprocessableEntity, "has no unit")
}
