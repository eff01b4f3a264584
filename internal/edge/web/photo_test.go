package web

import (
	"bytes"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// taken is a photo with a place in its EXIF, made here.
func taken(t testing.TB) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 400, 300))
	for y := range 300 {
		for x := range 400 {
			img.SetRGBA(x, y, color.RGBA{uint8(x), uint8(y), 90, 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	exif := "Exif\x00\x00II*\x00\x08\x00\x00\x00" + "\x02\x00" + "\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00" +
		"\x25\x88\x04\x00\x01\x00\x00\x00\x26\x00\x00\x00" + "\x00\x00\x00\x00" + "\x01\x00" + "\x01\x00\x02\x00\x02\x00\x00\x00N\x00\x00\x00" + "\x00\x00\x00\x00SECRET-PLACE"
	head := []byte{0xff, 0xd8, 0xff, 0xe1, byte((len(exif) + 2) >> 8), byte(len(exif) + 2)}
	return append(append(head, exif...), b.Bytes()[2:]...)
}

// handIn sends the form of a photo.
func (f *shopFloor) handIn(file []byte, fields url.Values) *httptest.ResponseRecorder {
	f.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for k, v := range fields {
		for _, one := range v {
			if err := m.WriteField(k, one); err != nil {
				f.t.Fatal(err)
			}
		}
	}
	w, err := m.CreateFormFile("photo", "../../IMG_0001.jpg")
	if err == nil {
		_, err = w.Write(file)
	}
	if err != nil || m.Close() != nil {
		f.t.Fatal(err)
	}
	return f.do(http.MethodPost, "/job/2026-014/photo", &b, "Content-Type", m.FormDataContentType(), "Sec-Fetch-Site", "same-origin")
}

// Law: a photo handed in on a page is shown there by its digest, turned, without
// the place it was taken; its picture may do nothing and may be kept; the
// original comes only to whoever says that they need it, byte for byte.
func TestPhotoOnAPage(t *testing.T) {
	f := open(t)
	file := taken(t)
	page := f.get(bore)
	wants(t, page, http.StatusOK, `type="file"`, `accept="image/*"`, `capture="environment"`, `enctype="multipart/form-data"`)
	in := url.Values{"key": {key(t, page.Body.String())}, "position": {"block/bore/5/H2/T"}, "words": {"a burr at the edge"}, "person": {"p-7a03"}}
	w := f.handIn(file, in)
	wants(t, w, http.StatusSeeOther)
	page = f.get(w.Header().Get("Location"))
	wants(t, page, http.StatusOK, "Stored as entry", "a burr at the edge")
	if again := f.handIn(file, in); again.Header().Get("Location") != w.Header().Get("Location") {
		t.Errorf("the same photo sent twice: %d %s", again.Code, again.Header().Get("Location"))
	}
	small := regexp.MustCompile(`src="(/photo/[0-9a-f]{64})"`).FindStringSubmatch(page.Body.String())
	at := regexp.MustCompile(`href="(/job/2026-014/photo/[0-9a-f]{32})"`).FindStringSubmatch(page.Body.String())
	if small == nil || at == nil {
		t.Fatal("the page shows no photo")
	}
	own := f.get(at[1])
	wants(t, own, http.StatusOK, "300 × 400", "says where it was taken", "Get the original")
	shown := regexp.MustCompile(`src="(/photo/[0-9a-f]{64})"`).FindStringSubmatch(own.Body.String())
	for _, src := range []string{small[1], shown[1]} {
		p := f.get(src)
		wants(t, p, http.StatusOK)
		for k, v := range map[string]string{"Content-Type": "image/jpeg", "X-Content-Type-Options": "nosniff", "Content-Security-Policy": "default-src 'none'; sandbox",
			"Cache-Control": "private, max-age=31536000, immutable"} {
			if p.Header().Get(k) != v {
				t.Errorf("%s: %s is %q", src, k, p.Header().Get(k))
			}
		}
		for _, bad := range []string{"SECRET", "Exif", "II*"} {
			if strings.Contains(p.Body.String(), bad) {
				t.Errorf("%s holds %q", src, bad)
			}
		}
		if c, err := jpeg.DecodeConfig(p.Body); err != nil || c.Width >= c.Height {
			t.Errorf("%s is not turned: %v, %v", src, c, err)
		}
		wants(t, f.get(src, "If-None-Match", p.Header().Get("ETag")), http.StatusNotModified)
	}
	original := regexp.MustCompile(`<dd>([0-9a-f]{64})</dd>`).FindStringSubmatch(own.Body.String())[1]
	for _, path := range []string{"/photo/" + original, "/api/v1/files/" + original, "/photo/..%2foriginals%2f" + original} {
		if w := f.get(path); w.Code == http.StatusOK {
			t.Errorf("%s hands out the original", path)
		}
	}
	wants(t, f.post(at[1], url.Values{}), http.StatusUnprocessableEntity, "Tick that you need")
	got := f.post(at[1], url.Values{"sure": {"yes"}})
	wants(t, got, http.StatusOK)
	if !bytes.Equal(got.Body.Bytes(), file) || got.Header().Get("Content-Type") != "application/octet-stream" ||
		!strings.HasPrefix(got.Header().Get("Content-Disposition"), "attachment") || got.Header().Get("Content-Security-Policy") != alone {
		t.Errorf("the original: %d bytes, %v", got.Body.Len(), got.Header())
	}
	wants(t, f.get("/job/2026-014/log"), http.StatusOK, "a burr at the edge", "photo")
}

// Law: a photo is of a part or a finding as well; what is no photo is refused on
// the form with one sentence, and nothing of it is kept.
func TestPhotosOfPartsAndWhatIsNone(t *testing.T) {
	f := open(t)
	form := func(path string) url.Values {
		return url.Values{"key": {key(t, f.get(path).Body.String())}, "words": {"seen"}, "person": {"p-7a03"}}
	}
	in := form("/job/2026-014/part/block")
	in.Set("where", "block@cyl/3")
	wants(t, f.handIn(taken(t), in), http.StatusSeeOther)
	wants(t, f.get("/job/2026-014/part/block"), http.StatusOK, "Photo of Cylinder block, cylinder 3: seen")
	ref := regexp.MustCompile(`/job/2026-014/photo\?finding=([^"]+)"`).FindStringSubmatch(f.get("/job/2026-014/findings").Body.String())
	if ref == nil {
		t.Fatal("no finding asks for a photo")
	}
	name, err := url.QueryUnescape(ref[1])
	if err != nil {
		t.Fatal(err)
	}
	in = form("/job/2026-014/photo?finding=" + ref[1])
	in.Set("finding", name)
	wants(t, f.handIn(taken(t), in), http.StatusSeeOther)
	wants(t, f.get("/job/2026-014/findings"), http.StatusOK, `loading="lazy"`)
	for want, file := range map[string][]byte{
		"This is no photo":   []byte("<!doctype html><script>alert(1)</script>"),
		"carries HTML":       append(taken(t), "<script>alert(1)</script>"...),
		"cut off or damaged": taken(t)[:900],
		"Choose a photo":     nil,
	} {
		in := form("/job/2026-014/photo?part=block")
		in.Set("where", "block")
		wants(t, f.handIn(file, in), http.StatusUnprocessableEntity, want, `value="seen"`)
	}
	in = form("/job/2026-014/photo?part=block")
	in["where"] = []string{"block", "crank"}
	wants(t, f.handIn(taken(t), in), http.StatusUnprocessableEntity, "where twice")
	in = form("/job/2026-014/photo?part=block")
	in.Set("where", "wing")
	if w := f.handIn(taken(t), in); w.Code != http.StatusNotFound && w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a photo of nothing: %d", w.Code)
	}
	wants(t, f.handIn(make([]byte, 21<<20), form(shells)), http.StatusRequestEntityTooLarge)
}

func TestAPIPhoto(t *testing.T) {
	f := open(t)
	send := func(query string, body []byte, key string) *httptest.ResponseRecorder {
		return f.do(http.MethodPost, "/api/v1/jobs/2026-014/photos?person=p-7a03&"+query, bytes.NewReader(body),
			"Content-Type", "application/octet-stream", "Idempotency-Key", key)
	}
	var first, again struct {
		Sequence int64
		Again    bool
		Located  bool
		Shown    string
	}
	w := send("position=block/bore/5/H2/T", taken(t), "p-1")
	wants(t, w, http.StatusCreated)
	if err := json.Unmarshal(w.Body.Bytes(), &first); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(send("position=block/bore/5/H2/T", taken(t), "p-1").Body.Bytes(), &again); err != nil {
		t.Fatal(err)
	}
	if !again.Again || again.Sequence != first.Sequence || !first.Located {
		t.Errorf("%+v, %+v", first, again)
	}
	wants(t, f.get("/photo/"+first.Shown), http.StatusOK)
	wants(t, send("part=block", taken(t), "p-1"), http.StatusConflict)
	wants(t, send("", taken(t), "p-2"), http.StatusUnprocessableEntity, "one of them")
	wants(t, send("part=block", []byte("GIF89a"), "p-3"), http.StatusUnprocessableEntity, "no photo")
	wants(t, send("finding=none@block", taken(t), "p-4"), http.StatusUnprocessableEntity, "no finding")
}

// Law: a form that was read before, to put who is signed in into it, gives the
// same fields and the same file as one that is read here.
func TestAFormReadBefore(t *testing.T) {
	file := taken(t)
	request := func() *http.Request {
		var b bytes.Buffer
		m := multipart.NewWriter(&b)
		w, err := m.CreateFormFile("photo", "x")
		if err == nil {
			_, err = w.Write(file)
		}
		if err != nil || m.WriteField("words", "one") != nil || m.WriteField("person", "p-1") != nil || m.Close() != nil {
			t.Fatal(err)
		}
		r := httptest.NewRequest(http.MethodPost, "/job/x/photo", &b)
		r.Header.Set("Content-Type", m.FormDataContentType())
		return r
	}
	_, fresh, err := withFile(request())
	if err != nil {
		t.Fatal(err)
	}
	r := request()
	if err := r.ParseMultipartForm(100); err != nil { // the file goes to the disk
		t.Fatal(err)
	}
	r.MultipartForm.Value["person"] = []string{"p-2"}
	form, b, err := withFile(r)
	if err != nil || !bytes.Equal(b, fresh) || !bytes.Equal(b, file) || form.Get("person") != "p-2" || form.Get("words") != "one" {
		t.Errorf("%d bytes, %v, %v", len(b), form, err)
	}
}
