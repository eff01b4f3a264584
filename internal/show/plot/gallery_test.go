package plot

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// All samples are synthetic; they show states, not engines.

func ptr(v float64) *float64 { return &v }

// plate is one picture of the gallery.
type plate struct {
	name string
	w, h float64
	draw func(Canvas)
}

func plates() []plate {
	return []plate{
		{"marks", 760, 60, drawMarks},
		{"limit bars, one line", 760, 260, drawRows},
		{"limit bar, large", 760, 480, drawLarge},
		{"lines, hatching, dimensions", 760, 250, drawDimensions},
		{"chart", 760, 320, drawChart},
		{"budget", 760, 120, drawBudget},
		{"bore profile", 760, 320, drawBore},
		{"tunnel profile", 760, 260, drawTunnel},
		{"face heights", 760, 240, drawFace},
		{"spread of a value", 680, SpreadHeight, drawSpread},
		{"rounds", 760, 380, drawRounds},
		{"ground", 760, 340, drawGround},
		{"inks", 760, 60, drawInks},
		{"title block", 760, 90, drawTitle},
		{"code", 200, 200, drawCode},
	}
}

func drawMarks(c Canvas) {
	x := 4.0
	for _, m := range []Mark{
		{Verdict: Accept, Word: "IN"},
		{Verdict: Undecided, Word: "UNDECIDED"},
		{Verdict: Reject, Word: "OUT", Toward: Over, Amount: "0.006 mm"},
		{Verdict: Reject, Word: "OUT", Toward: Under, Amount: "4.2 µm"},
		{Verdict: Rework, Word: "REWORK"},
		{Verdict: Unmeasured, Word: "NOT MEASURED"},
	} {
		m.Draw(c, Pt(x, 6))
		x += m.Width() + 20
	}
	x = 4
	for _, v := range []Verdict{Accept, Undecided, Reject, Rework, Unmeasured, NoLimit} {
		Sign(c, Pt(x+6, 46), 4, v)
		Sign(c, Pt(x+28, 46), 6, v)
		Sign(c, Pt(x+54, 46), 10, v)
		x += 84
	}
}

func drawCode(c Canvas) {
	code, err := QR("https://shop.test:8443/enrol", LevelM)
	if err != nil {
		panic(err)
	}
	code.Draw(c, Pt(10, 10), 180)
}

// bars are the states of a limit bar; synthetic.
func bars() []LimitBar {
	lo, hi, nom := ptr(83.000), ptr(83.020), ptr(83.010)
	two := LimitBar{Min: lo, Max: hi, Nominal: nom, U: 0.0035, Guard: 0.003,
		Labels: BarLabels{Min: "min 83.000", Max: "max 83.020", Nominal: "nominal 83.010", Doubt: "± 0.0035 mm", Guard: "guard band 3.0 µm"}}
	with := func(b LimitBar, v float64, d Verdict, text string) LimitBar {
		b.Value, b.Verdict, b.Labels.Value = &v, d, text
		return b
	}
	over := with(two, 83.0243, Reject, "83.0243 mm")
	over.Labels.Amount = "0.0043 mm over"
	far := with(two, 83.412, Reject, "83.412 mm")
	far.Labels.Amount = "0.392 mm over"
	low := with(two, 82.9, Reject, "82.900 mm")
	empty := two
	empty.Verdict, empty.Labels.Value, empty.Labels.Doubt = Unmeasured, "not measured", ""
	max1 := LimitBar{Max: ptr(0.010), U: 0.0016, Guard: 0.0013, Labels: BarLabels{Max: "max 0.010", Doubt: "± 0.0016 mm"}}
	min1 := LimitBar{Min: ptr(5.50), U: 0.15, Guard: 0.12, Labels: BarLabels{Min: "min 5.50", Doubt: "± 0.15 mm"}}
	rep := with(two, 83.0060, Accept, "83.0060 mm")
	rep.Repeats = []float64{83.0052, 83.0061, 83.0067}
	return []LimitBar{
		with(two, 83.0105, Accept, "83.0105 mm"), rep, with(two, 83.0185, Undecided, "83.0185 mm"), over, far, low, empty,
		with(max1, 0.004, Accept, "0.004 mm"), with(max1, 0.0135, Reject, "0.0135 mm"),
		with(min1, 6.2, Accept, "6.20 mm"), with(min1, 9.9, Accept, "9.90 mm"), with(min1, 5.4, Undecided, "5.40 mm"),
		with(LimitBar{Labels: BarLabels{Doubt: "no limit given"}}, 12.3, Unmeasured, "12.30 mm"),
		with(LimitBar{Min: ptr(2), Max: ptr(2), U: 0.01}, 2.01, Reject, "2.010"),
	}
}

func drawRows(c Canvas) {
	for i, b := range bars() {
		b.Row(c, Pt(0, 18*float64(i)), RowWidth)
		c.Text(Pt(RowWidth+12, 18*float64(i)+9), Text{S: b.Labels.Value, Size: SizeText, Base: CapMiddle})
		b.Row(c, Pt(300, 18*float64(i)), 220)
	}
}

func drawLarge(c Canvas) {
	for i, b := range []LimitBar{bars()[0], bars()[3], bars()[4], bars()[6], bars()[8]} {
		b.Large(c, Pt(0, LargeHeight*float64(i)), LargeWidth)
	}
}

func drawDimensions(c Canvas) {
	x := 0.0
	for _, l := range Lines() {
		c.Line(Pt(x, 10), Pt(x+80, 10), Style{Stroke: InkPen, Line: l})
		c.Text(Pt(x, 26), Text{S: l.String(), Ink: InkThin})
		x += 94
	}
	bore := Pt(90, 140)
	body := Box(20, 80, 140, 120).Append(Disc(bore, 42))
	Hatch(c, body, Hatching{})
	c.Path(body, Style{Stroke: InkPen, Line: Wide})
	CentreMark(c, bore, 42)
	DiameterLine(c, bore, 42, -35, 58, "Ø83.000 +0.015/0")
	Dimension(c, Pt(20, 200), Pt(160, 200), -24, "140.0")
	Dimension(c, Pt(20, 200), Pt(20, 80), 20, "120.0 ± 0.1")
	c.Path(Box(330, 90, 60, 100), Style{Stroke: InkPen, Line: Wide, Fill: InkTint})
	Dimension(c, Pt(330, 90), Pt(336, 90), 18, "0.8")
	Dimension(c, Pt(390, 190), Pt(390, 90), -20, "H2 thrust")
	Dimension(c, Pt(330, 190), Pt(390, 90), 62, "116.6")
	Leader(c, Pt(350, 150), Pt(300, 220), true, "cut face")
	Leader(c, Pt(390, 120), Pt(460, 70), false, "edge worn <0.05")
	CentreLine(c, Pt(500, 140), Pt(740, 140), 6)
	Break(c, Pt(520, 90), Pt(520, 190))
	Break(c, Pt(720, 90), Pt(720, 190))
	Hatch(c, Box(540, 110, 80, 60), Hatching{Angle: 45, Spacing: 4, Ink: InkPen, Line: Narrow})
	c.Path((&Path{}).Arc(Pt(660, 140), 30, -90, 90).Close(), Style{Stroke: InkAccent, Line: Heavy})
}

func figure(v float64, d int) string {
	return strings.Replace(fmt.Sprintf("%.*f", d, v), "-", "−", 1)
}

func drawChart(c Canvas) {
	var meas, what, ref []Sample
	var b Band
	for i := range 61 {
		x := 1000 + 100*float64(i)
		y := 4.4 - 3*math.Exp(-x/2500)
		meas = append(meas, Sample{X: x, Y: y})
		what = append(what, Sample{X: x, Y: y + 0.35})
		ref = append(ref, Sample{X: x, Y: y * 1.35})
		b.X, b.Low, b.High = append(b.X, x), append(b.Low, y-0.25), append(b.High, y+0.25)
	}
	Chart{
		X: Axis{1000, 7000, Ticks(1000, 7000, 6, figure), "speed / min⁻¹"}, Y: Axis{0, 5, Ticks(0, 5, 5, figure), "oil pressure at 100 °C / bar"},
		Bands:  []Band{b},
		Limits: []Limit{{At: 1, Forbidden: Under, Label: "least 1.0 bar"}, {At: 6500, Forbidden: Over, Across: true, Label: "limiter"}},
		Series: []Series{
			{Role: Measured, Label: "as found", Samples: meas}, {Role: WhatIf, Label: "mains at 0.045 mm", Samples: what},
			{Role: Reference, Label: "as new", Samples: ref},
			{Role: Points, Samples: []Sample{{X: 1500, Y: 2.8}, {X: 3000, Y: 3.6}, {X: 5000, Y: 4.1}}, Verdicts: []Verdict{Accept, Undecided}},
		},
	}.Draw(c, Pt(0, 0), 760, 320)
}

func drawBudget(c Canvas) {
	Budget{Bars: []BudgetBar{
		{Label: "bore gauge", Figure: "71 %", Share: 0.71, Note: "repeat at 3 heights"},
		{Label: "setting ring", Figure: "18 %", Share: 0.18}, {Label: "temperature, part to gauge", Figure: "9 %", Share: 0.09},
		{Label: "Wiederholstreuung der Messuhranzeige", Figure: "2 %", Share: 0.02}, {Label: "reading to the nearest step", Figure: "< 1 %", Share: 0.003},
	}}.Draw(c, Pt(0, 4), 560)
}

func drawBore(c Canvas) {
	st := func(at, v float64, d Verdict) Station { return Station{At: at, Value: &v, U: 3.5, Verdict: d} }
	Profile{
		Upright: true, Low: ptr(0), High: ptr(20),
		Along: Axis{0, 130, []Tick{{15, "H1"}, {65, "H2"}, {115, "H3"}}, ""}, Across: Axis{-10, 40, Ticks(-10, 40, 5, figure), "over 83.000 / µm"},
		Traces: []Trace{
			{"thrust", []Station{st(15, 31, Reject), st(65, 14, Accept), st(115, 6, Accept)}},
			{"across", []Station{st(15, 18, Undecided), {At: 65}, st(115, 3.5, Accept)}},
		},
	}.Draw(c, Pt(0, 0), 370, 320)
	Profile{
		Upright: true, High: ptr(20),
		Along: Axis{0, 130, []Tick{{15, "H1"}, {65, "H2"}, {115, "H3"}}, ""}, Across: Axis{-10, 40, Ticks(-10, 40, 5, figure), "over 83.000 / µm"},
		Traces: []Trace{{"thrust", []Station{st(15, 131, Reject), st(65, -40, Accept), st(115, 6, Accept)}}},
	}.Draw(c, Pt(390, 0), 370, 320)
}

func drawTunnel(c Canvas) {
	var ss []Station
	for i, v := range []float64{0, 4.5, 23, 61, 9, 0} {
		d := Accept
		if v > 20 {
			d = Reject
		}
		ss = append(ss, Station{At: 88.5 * float64(i), Value: ptr(v), U: 5, Verdict: d, Label: fmt.Sprint(i + 1)})
	}
	Profile{
		Low: ptr(-20), High: ptr(20), Along: Axis{-20, 460, Ticks(0, 442, 5, figure), "from the free end / mm"},
		Across: Axis{-40, 40, Ticks(-40, 40, 4, figure), "height of the main tunnel / µm"}, Traces: []Trace{{"as found", ss}},
	}.Draw(c, Pt(0, 0), 760, 260)
}

func drawFace(c Canvas) {
	m := FlatMap{Full: 60, Outline: []Point{{0, 0}, {450, 0}, {450, 160}, {430, 180}, {0, 180}}}
	for i := range 5 {
		m.Holes = append(m.Holes, Hole{Pt(48+88.5*float64(i), 90), 41.5})
	}
	for i := range 6 {
		for j := range 3 {
			v := 30 - 20*math.Abs(float64(i)-2.5)*math.Abs(float64(j)-1) - 55*math.Exp(-math.Pow(float64(i)-2, 2))
			d := Accept
			if v < -30 {
				d = Reject
			}
			m.Spots = append(m.Spots, Spot{4 + 88.5*float64(i), 14 + 76*float64(j), v, strings.Replace(fmt.Sprintf("%+.0f", v), "-", "−", 1), d, false})
		}
	}
	m.Contours = []Contour{{Label: "−20", Level: -20, Points: []Point{{130, 20}, {150, 60}, {180, 80}, {220, 60}, {230, 20}}}}
	m.Draw(c, Pt(0, 0), 760, 240)
}

// drawSpread is synthetic.
func drawSpread(c Canvas) {
	s := Spread{Across: Axis{45, 75, Ticks(45, 75, 6, figure), "clearance / µm"}, From: 48, To: 66, Low: ptr(52), High: ptr(70), Value: 57, Ends: [2]float64{51, 63}}
	for i := range 48 {
		x := 48 + 18*(float64(i)+0.5)/48
		s.Bars = append(s.Bars, math.Exp(-math.Pow((x-57)/3, 2)/2))
	}
	s.Labels.Low, s.Labels.High, s.Labels.Ends = "52", "70", "95 % between 51 and 63"
	s.Draw(c, Pt(0, 0), 680)
}

// drawRounds is synthetic.
func drawRounds(c Canvas) {
	var load, way, ref []Point
	for i := range 180 {
		t := float64(i) * math.Pi / 45
		load = append(load, Pt(9*math.Sin(t)+4*math.Sin(t/2), 14*math.Cos(t)-6+9*math.Cos(t/2)))
		way = append(way, Pt(0.9*math.Sin(t/2+0.4), 0.8*math.Cos(t/2)))
		ref = append(ref, Pt(0.8*math.Sin(t/2+0.5), 0.7*math.Cos(t/2)))
	}
	Polar{Full: 25, Rings: []Ring{{10, "10 kN", false}, {20, "20 kN", false}}, Traces: []Round{{Measured, load}}, Axes: [4]string{"", "rod", "", "cap"},
		Spots: []RoundSpot{{Pt(0, 17), "15° after firing"}}}.Draw(c, Pt(0, 0), 370)
	Polar{Full: 1.1, Rings: []Ring{{1, "", true}}, Traces: []Round{{Measured, way}, {Reference, ref}}, Spots: []RoundSpot{{way[30], "1.8 µm at 388°"}}}.Draw(c, Pt(390, 0), 370)
}

// drawGround is synthetic; its corner is not known.
func drawGround(c Canvas) {
	t := Terrain{X: Axis{40, 60, Ticks(40, 60, 5, figure), "clearance / µm"}, Y: Axis{4, 12, Ticks(4, 12, 5, figure), "viscosity at 120 °C / mPa·s"}, Forbid: ptr(1.2)}
	for i := range 21 {
		t.Xs = append(t.Xs, 40+float64(i))
	}
	for j := range 17 {
		t.Ys = append(t.Ys, 4+float64(j)/2)
		var row []float64
		for _, x := range t.Xs {
			row = append(row, 0.22*t.Ys[j]+0.6-0.004*math.Pow(x-48, 2)/2)
		}
		t.Heights = append(t.Heights, row)
	}
	t.Heights[16][20], t.Heights[16][19] = math.NaN(), math.NaN()
	for _, l := range []float64{1, 1.5, 2, 2.5, 3} {
		t.Levels = append(t.Levels, Height{l, figure(l, 1) + " µm", l == 2})
	}
	t.Here = []Standing{{X: 51, Y: 7.2, UX: 2.3, UY: 0.5, Label: "measured"}, {X: 45, Y: 6, Role: Reference, Label: "lived"}}
	t.Draw(c, Pt(0, 0), 760, 340)
}

func drawInks(c Canvas) {
	for i, k := range Inks() {
		x := 50 * float64(i)
		c.Rect(x, 4, 42, 24, Style{Fill: k, Stroke: InkFaint, Line: Hair})
		c.Text(Pt(x, 40), Text{S: k.String(), Size: 7})
	}
}

func drawTitle(c Canvas) {
	sampleTitle().Draw(c, Pt(0, 4), 760)
}

func sampleTitle() TitleBlock {
	return TitleBlock{
		Job: Field{"job", "J-0042"}, Part: Field{"part", "Zylinderkurbelgehäuse mit Hauptlagergasse, links"}, Family: Field{"family", "corran-24-5"},
		State: Field{"state", "as found"}, MeasuredBy: Field{"measured by", "A. Tester"}, Temperature: Field{"temperature", "20.4 ± 0.5 °C"},
		When: Field{"when", "2026-03-14 09:20"}, Sheet: Field{"sheet", "3 of 11"}, Head: Field{"log", "9f3a 17c0"},
	}
}

func svgOf(p plate) string {
	s := NewSVG(p.w, p.h, p.name)
	p.draw(s)
	return s.String()
}

// pdfOf sets every plate one under another on A4.
func pdfOf(t testing.TB) []byte {
	doc := fpdf.New("P", "mm", "A4", "")
	when := time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)
	doc.SetCreationDate(when)
	doc.SetModificationDate(when)
	doc.SetCatalogSort(true)
	doc.SetAutoPageBreak(false, 0)
	AddFonts(doc)
	y := 1000.0
	for _, p := range plates() {
		scale := 190 / 760.0
		if y+p.h*scale > 280 {
			doc.AddPage()
			y = 10
		}
		p.draw(NewPDF(doc, 10, y, scale))
		y += p.h*scale + 6
	}
	var out bytes.Buffer
	if err := doc.Output(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

var galleryDir = flag.String("gallery", "", "write the gallery of plates into this folder")

func TestGallery(t *testing.T) {
	if *galleryDir == "" {
		t.Skip("no -gallery folder given")
	}
	var b strings.Builder
	for _, f := range Fonts() {
		write(t, f.Name, f.TTF)
	}
	write(t, "record.pdf", pdfOf(t))
	for _, p := range plates() {
		fmt.Fprintf(&b, "<h2>%s</h2>%s\n", p.name, svgOf(p))
		s := NewSVG(p.w, p.h, p.name)
		p.draw(s)
		write(t, strings.ReplaceAll(p.name, " ", "-")+".svg", []byte(s.File()))
	}
	for _, theme := range []string{"paper", "blueprint"} {
		write(t, theme+".html", fmt.Appendf(nil, "<!doctype html><html lang=en data-theme=%s><meta charset=utf-8><title>plates</title><style>%s%sbody{background:var(--ground);color:var(--pen);font:14px Go;margin:24px}h2{font-size:11px;color:var(--thin)}svg{display:block}</style><body>%s",
			theme, FontFace("go-regular.ttf", "go-bold.ttf"), CSS(), b.String()))
	}
}

func write(t *testing.T, name string, content []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(*galleryDir, name), content, 0o644); err != nil {
		t.Fatal(err)
	}
}
