package sheet

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/show/view"
)

// Law: the record holds the photos as they are shown, byte for byte, at most two
// dozen of them on a sheet or two more; one whose file is gone is left out; the
// same job gives the same bytes.
func TestPhotosInTheRecord(t *testing.T) {
	in := demoInput(t, "2026-021", "en")
	plain, err := Record(in)
	if err != nil {
		t.Fatal(err)
	}
	pages := func(b []byte) int { return bytes.Count(b, []byte("/Type /Page\n")) }
	files := map[string][]byte{}
	var rows []entry.Row
	for i := range 30 {
		img := image.NewGray(image.Rect(0, 0, 300+10*i, 200))
		for x := range img.Rect.Dx() {
			for y := range 200 {
				img.SetGray(x, y, color.Gray{uint8(x*i + y)})
			}
		}
		var b bytes.Buffer
		if err := jpeg.Encode(&b, img, nil); err != nil {
			t.Fatal(err)
		}
		d := strings.Repeat(string("0123456789abcdef"[i%16]), 63) + string("0123456789abcdef"[i/16])
		if i != 3 {
			files[d] = b.Bytes()
		}
		p := job.PhotoV1{Original: d, Shown: d, Small: d, Type: "image/jpeg", Width: 300, Height: 200, Part: "block", Words: strings.Repeat("what it shows ", i%20)}
		var k entry.Key
		k[0], k[1] = 9, byte(i)
		e, err := entry.New("job/2026-021", k, entry.Photo, "p-5c1e", "test", in.Case.Job.Last+int64(i), p)
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, entry.Row{Entry: e, Seq: in.Case.Job.Seq + int64(i) + 1})
	}
	c := in.Case
	in.Case = view.NewCase(c.Assessment, c.Layout, c.Library, c.Job.With(rows), c.Shop, c.Sketch)
	in.Photos = func(digest string) ([]byte, error) {
		if b, ok := files[digest]; ok {
			return b, nil
		}
		return nil, errors.New("gone")
	}
	a, err := Record(in)
	if err != nil {
		t.Fatal(err)
	}
	keep(t, "photos.pdf", a)
	if more := pages(a) - pages(plain); more < 1 || more > 3 {
		t.Errorf("%d sheets more", more)
	}
	held := 0
	for _, b := range files {
		if bytes.Contains(a, b) {
			held++
		}
	}
	if held != mostPhotos {
		t.Errorf("%d photos in the record, want %d", held, mostPhotos)
	}
	again, err := Record(in)
	if err != nil || !bytes.Equal(a, again) {
		t.Errorf("two records of one job differ: %v", err)
	}
}
