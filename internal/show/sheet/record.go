// Package sheet sets the build record: A4 sheets that a customer can read and
// a machinist can work from, with every reading behind them. It places
// finished words and finished values; it judges and computes nothing.
package sheet

import (
	"bytes"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"fettle/internal/base/fault"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// Input is what a record is made of: one job with its assessment, and how its
// reader reads. Program names what wrote it, for example "fettle 0.1.0".
type Input struct {
	Case    *view.Case
	Reader  view.Reader
	Program string
	// Photos reads a photo as it is shown by its digest; nil: the record has none.
	Photos func(digest string) ([]byte, error)
	Blank  *Blank // to be set on; nil: one is made. It serves for one record.
}

// Blank is a document with its type read and nothing on it. It needs nothing of
// a job, so it can be made while the job is judged.
type Blank struct{ doc *fpdf.Fpdf }

// NewBlank makes one.
func NewBlank() *Blank {
	doc := fpdf.New("P", "mm", "A4", "")
	plot.AddFonts(doc)
	return &Blank{doc}
}

// Record sets the build record as a PDF. The same input gives the same bytes:
// the only time in it is that of the last entry.
//
// Errors: a fault where the document could not be made.
func Record(in Input) ([]byte, error) {
	b := newBook(in)
	b.certificate()
	b.drawings()
	b.findings()
	b.undecided()
	b.targets()
	b.settings()
	b.arrival()
	b.parts()
	b.photos()
	b.cautions()
	b.readings()
	b.title()
	var out bytes.Buffer
	if err := b.doc.Output(&out); err != nil {
		return nil, fault.New(fault.Broken, "sheet.not-made").Because(err)
	}
	return out.Bytes(), nil
}

func newBook(in Input) *book {
	if in.Blank == nil {
		in.Blank = NewBlank()
	}
	b := &book{Input: in, r: in.Reader, doc: in.Blank.doc}
	b.r.Theme = "paper"
	a := in.Case.Assessment
	when := time.UnixMicro(in.Case.Job.Last).UTC()
	b.doc.SetCreationDate(when)
	b.doc.SetModificationDate(when)
	b.doc.SetCatalogSort(true)
	b.doc.SetAutoPageBreak(false, 0)
	b.doc.SetTitle(clean(b.r.T("sheet.record")+" "+a.Job+": "+a.Title), true)
	b.doc.SetSubject(clean(in.Case.Layout.Family.Name.In(b.r.Lang)), true)
	b.doc.SetCreator(clean(in.Program), true)
	b.doc.SetProducer(clean(in.Program), true)
	b.doc.SetLang(b.r.Lang)
	return b
}
