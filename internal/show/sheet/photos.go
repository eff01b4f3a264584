package sheet

import (
	"bytes"

	"codeberg.org/go-pdf/fpdf"

	"fettle/internal/show/plot"
)

// Photos stand two beside one another in a column; so many that they take a
// sheet or two.
const (
	photosAcross = 2
	mostPhotos   = 24
	photoHigh    = 104.0 // of a picture, sheet units
	photoGap     = 10.0
)

// photos sets the photos of the job, as they are shown, with what they are of.
// One whose file is gone is left out.
func (b *book) photos() {
	if b.Photos == nil || len(b.Case.Job.Photos) == 0 {
		return
	}
	if b.cols < 2 {
		b.columns(2)
	}
	b.chapter(b.r.T("sheet.photos"), photoHigh+80)
	set, deep := 0, 0.0
	for i := range b.Case.Job.Photos {
		p := &b.Case.Job.Photos[i]
		if set == mostPhotos {
			b.y += deep
			b.para(b.x, b.w, plot.Text{S: b.r.N("sheet.photos.more", len(b.Case.Job.Photos)-set), Size: sizeFine, Ink: plot.InkThin}, 12)
			return
		}
		info := b.picture(p.Shown)
		if info == nil {
			continue
		}
		if set%photosAcross == 0 {
			b.y += deep
			deep = 0
			b.room(photoHigh + 80)
		}
		w := (b.w - photoGap*(photosAcross-1)) / photosAcross
		x, top := b.x+float64(set%photosAcross)*(w+photoGap), b.y
		iw, ih := w, w*info.Height()/info.Width()
		if ih > photoHigh {
			iw, ih = photoHigh*info.Width()/info.Height(), photoHigh
		}
		b.doc.ImageOptions(p.Shown, x*plot.NaturalMM, top*plot.NaturalMM, iw*plot.NaturalMM, ih*plot.NaturalMM, false, fpdf.ImageOptions{ImageType: "JPG"}, 0, "")
		b.y = top + ih + 6
		b.para(x, w, plot.Text{S: clip(b.Case.PhotoAlt(b.r, &p.PhotoV1)), Size: sizeFine}, 11)
		b.para(x, w, plot.Text{S: b.Case.Person(p.Person) + ", " + b.r.Date(p.Time), Size: sizeFine, Ink: plot.InkThin}, 11)
		deep = max(deep, b.y-top+8)
		b.y = top
		set++
	}
	b.y += deep
}

// picture takes a photo into the document; nil where its file is gone or is no
// picture.
func (b *book) picture(digest string) *fpdf.ImageInfoType {
	file, err := b.Photos(digest)
	if err != nil {
		return nil
	}
	info := b.doc.RegisterImageOptionsReader(digest, fpdf.ImageOptions{ImageType: "JPG"}, bytes.NewReader(file))
	if b.doc.Err() {
		b.doc.ClearError()
		return nil
	}
	return info
}

// clip keeps a caption to some four lines.
func clip(s string) string {
	if letters := []rune(s); len(letters) > 150 {
		return string(letters[:149]) + "…"
	}
	return s
}
