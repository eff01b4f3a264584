package plot

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// Law: the same calls give the same bytes.
func TestPDFIsDeterministic(t *testing.T) {
	a, b := pdfOf(t), pdfOf(t)
	if !bytes.Equal(a, b) {
		t.Errorf("two PDFs of the same plates differ: %d and %d bytes", len(a), len(b))
	}
	if !bytes.HasPrefix(a, []byte("%PDF-")) || bytes.Contains(a, []byte("/Subtype /Image")) {
		t.Error("want a PDF of vectors without images")
	}
}

func plainDoc(draw func(doc *fpdf.Fpdf)) string {
	doc := fpdf.New("P", "mm", "A4", "")
	doc.SetCompression(false)
	when := time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)
	doc.SetCreationDate(when)
	doc.SetModificationDate(when)
	doc.SetCatalogSort(true)
	AddFonts(doc)
	doc.AddPage()
	draw(doc)
	var b bytes.Buffer
	if err := doc.Output(&b); err != nil {
		return err.Error()
	}
	return b.String()
}

// Law: what is written after a drawing looks as if the drawing were not there.
func TestPDFLeavesStateAlone(t *testing.T) {
	state := func(d *fpdf.Fpdf) string {
		dr, dg, db := d.GetDrawColor()
		fr, fg, fb := d.GetFillColor()
		tr, tg, tb := d.GetTextColor()
		pt, _ := d.GetFontSize()
		return fmt.Sprint(dr, dg, db, fr, fg, fb, tr, tg, tb, pt, d.GetFontFamily(), d.GetFontStyle(), d.GetLineWidth(), d.GetX(), d.GetY(), d.GetLineCapStyle())
	}
	out := plainDoc(func(d *fpdf.Fpdf) {
		d.SetFont(FontFamily, "BU", 17)
		d.SetTextColor(10, 20, 30)
		d.SetDrawColor(40, 50, 60)
		d.SetFillColor(70, 80, 90)
		d.SetLineWidth(0.7)
		before := state(d)
		for _, p := range plates() {
			p.draw(NewPDF(d, 20, 30, 0.2))
		}
		if after := state(d); before != after {
			t.Errorf("state before %s, after %s", before, after)
		}
	})
	depth, least := 0, 0
	for _, tok := range strings.Fields(pageStream(t, out)) {
		switch tok {
		case "q":
			depth++
		case "Q":
			depth--
		}
		least = min(least, depth)
	}
	if depth != 0 || least != 0 {
		t.Errorf("save and restore marks do not pair: end %d, least %d", depth, least)
	}
}

func pageStream(t *testing.T, pdf string) string {
	t.Helper()
	_, rest, ok := strings.Cut(pdf, "stream\n")
	body, _, ok2 := strings.Cut(rest, "endstream")
	if !ok || !ok2 {
		t.Fatal("no page stream: " + pdf[:min(200, len(pdf))])
	}
	return body
}

// Law: a sheet at 20 mm, 30 mm with one sheet unit to 0.5 mm has its origin
// at 20·72/25.4 pt from the left and (297 − 30)·72/25.4 pt from the foot of
// A4, and a sheet unit is 0.5·72/25.4 pt. (fpdf counts A4 as 841.89 pt high.)
func TestPDFMatrix(t *testing.T) {
	out := plainDoc(func(d *fpdf.Fpdf) {
		NewPDF(d, 20, 30, 0.5).Rect(10, 10, 4, 2, Style{Fill: InkOut})
	})
	k := 72 / 25.4
	want := fmt.Sprintf("q %s 0 0 %s %s %s cm", pnum(nil, 0.5*k), pnum(nil, -0.5*k), pnum(nil, 20*k), pnum(nil, 841.89-30*k))
	if s := pageStream(t, out); !strings.Contains(s, want) {
		t.Errorf("want %q in the page", want)
	}
	if s := pageStream(t, out); !strings.Contains(s, "10 10 m 14 10 l 14 12 l 10 12 l h f* Q") {
		t.Error("the rectangle is not in sheet units")
	}
}

// Law: the end of a text stands where its anchor says.
func TestPDFAnchors(t *testing.T) {
	at := func(a Anchor) (x float64) {
		out := plainDoc(func(d *fpdf.Fpdf) {
			NewPDF(d, 0, 0, NaturalMM).Text(Pt(200, 100), Text{S: "83.010", Size: 14, Anchor: a})
		})
		s := pageStream(t, out)
		i := strings.LastIndex(s, " Td (")
		var y float64
		if _, err := fmt.Sscanf(s[strings.LastIndex(s[:i], "BT ")+3:], "%f %f Td", &x, &y); err != nil {
			t.Fatal(err)
		}
		return x
	}
	w := Width("83.010", 14, Regular) * 0.75 // 96 units are 72 points
	start, middle, end := at(Start), at(Middle), at(End)
	for name, d := range map[string]float64{"middle": start - middle - w/2, "end": start - end - w, "start": start - 150} {
		if d > 0.011 || d < -0.011 { // fpdf writes hundredths of a point
			t.Errorf("%s is off by %v pt", name, d)
		}
	}
}

// Law: a canvas without a page is an error of the document, not a panic.
func TestPDFWithoutPage(t *testing.T) {
	doc := fpdf.New("P", "mm", "A4", "")
	NewPDF(doc, 0, 0, 1)
	if doc.Error() == nil {
		t.Error("want the document's error set")
	}
}
