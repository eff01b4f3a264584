package sheet

import (
	"bytes"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"fettle/internal/base/fault"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// LabelPaper is what labels are printed on, in millimetres.
type LabelPaper struct {
	Name          string
	W, H          float64 // of a sheet
	Across, Down  int
	Left, Top     float64 // where the first label begins
	LabelW, Label float64 // size of one
}

// LabelPapers are the papers: an A4 sheet of 24, a roll of 62 mm, a label of
// 50 by 25 mm.
func LabelPapers() []LabelPaper {
	return []LabelPaper{
		{Name: "a4", W: 210, H: 297, Across: 3, Down: 8, Top: 0.5, LabelW: 70, Label: 37},
		{Name: "roll", W: 62, H: 29, Across: 1, Down: 1, LabelW: 62, Label: 29},
		{Name: "small", W: 50, H: 25, Across: 1, Down: 1, LabelW: 50, Label: 25},
	}
}

// Labels sets labels on a paper. when is the time that the file bears, so that
// the same labels give the same bytes.
//
// Errors: missing for a paper that is not one of them, or no labels; broken
// where the document could not be made.
func Labels(labels []view.Label, paper string, when int64, program string) ([]byte, error) {
	var p LabelPaper
	for _, k := range LabelPapers() {
		if k.Name == paper {
			p = k
		}
	}
	if p.Name == "" {
		return nil, fault.New(fault.Missing, "sheet.no-paper", "found", paper)
	}
	if len(labels) == 0 {
		return nil, fault.New(fault.Missing, "sheet.no-labels")
	}
	orient := "P"
	if p.W > p.H {
		orient = "L"
	}
	doc := fpdf.NewCustom(&fpdf.InitType{OrientationStr: orient, UnitStr: "mm", Size: fpdf.SizeType{Wd: min(p.W, p.H), Ht: max(p.W, p.H)}})
	stamp(doc, when, program)
	for i := range labels {
		n := i % (p.Across * p.Down)
		if n == 0 {
			doc.AddPage()
		}
		x, y := p.Left+p.LabelW*float64(n%p.Across), p.Top+p.Label*float64(n/p.Across)
		if err := label(plot.NewPDF(doc, x, y, plot.NaturalMM), &labels[i], p.LabelW/plot.NaturalMM, p.Label/plot.NaturalMM); err != nil {
			return nil, err
		}
	}
	return output(doc)
}

// stamp makes the document reproducible and gives it the house's type.
func stamp(doc *fpdf.Fpdf, when int64, program string) {
	at := time.UnixMicro(when).UTC()
	doc.SetCreationDate(at)
	doc.SetModificationDate(at)
	doc.SetCatalogSort(true)
	doc.SetAutoPageBreak(false, 0)
	doc.SetCreator(clean(program), true)
	doc.SetProducer(clean(program), true)
	plot.AddFonts(doc)
}

func output(doc *fpdf.Fpdf) ([]byte, error) {
	var out bytes.Buffer
	if err := doc.Output(&out); err != nil {
		return nil, fault.New(fault.Broken, "sheet.not-made").Because(err)
	}
	return out.Bytes(), nil
}

// label draws one: the code at the left, the letters large, what it is, where
// it belongs, the job.
func label(pdf *plot.PDF, l *view.Label, w, h float64) error {
	code, err := plot.QR(l.Code, plot.LevelM)
	if err != nil {
		return err
	}
	c := cleaned{pdf}
	const edge = 7.0
	side := min(h-2*edge, w*0.42)
	code.Draw(c, plot.Pt(edge, (h-side)/2), side)
	x := edge + side + 6
	room := w - x - edge
	big := 30.0
	for plot.Width(l.Text, big, plot.Bold) > room {
		big -= 0.5
	}
	small := 9.0
	y := (h - side) / 2
	put := func(s string, size float64, wt plot.Weight, lead float64) {
		if s == "" || y+size > h-2 {
			return
		}
		c.Text(plot.Pt(x, y), plot.Text{S: plot.Fit(clean(s), size, wt, room), Size: size, Weight: wt, Base: plot.CapTop})
		y += lead
	}
	put(l.Text, big, plot.Bold, big*0.9)
	for _, line := range plot.Wrap(clean(l.Name), 11, plot.Bold, room, 2) {
		put(line, 11, plot.Bold, 12.5)
	}
	put(l.Where, 11, plot.Regular, 13)
	put(l.Part+" · "+l.Job, small, plot.Regular, 11)
	put(l.Keeps, small, plot.Regular, 11)
	return nil
}
