package view

import (
	"fettle/internal/know/library"
	"fettle/internal/show/plot"
)

// Legend explains the bars, the marks and the rule.
type Legend struct {
	Frame
	Plates []Explained
	Bars   []Explained
	Lines  []Explained
}

// Explained is a graphic with its sentence.
type Explained struct {
	Plate   Plate
	Drawing Drawing
	Text    string
}

// Legend makes the page; its bars show made-up values that the words name.
func (r Reader) Legend() Legend {
	v := Legend{Frame: r.frame(r.T("page.legend.title"), "/legend")}
	v.Under = r.T("page.legend.under")
	for _, p := range append(list4(), plot.Rework) {
		v.Plates = append(v.Plates, Explained{Plate: r.plate(p), Text: r.T("page.legend.plate." + string(p))})
	}
	v.Plates = append(v.Plates, Explained{Plate: r.plate(plot.NoLimit), Text: r.T("page.legend.plate.none")})
	at := func(x float64) *float64 { return &x }
	two := func(y float64, vd plot.Verdict) plot.LimitBar {
		return plot.LimitBar{Min: at(83.000), Max: at(83.020), Nominal: at(83.010), Value: at(y), U: 0.0024, Guard: 0.002, Verdict: vd}
	}
	big := two(83.006, plot.Accept)
	big.Labels = plot.BarLabels{Min: r.Num("83.000"), Max: r.Num("83.020"), Nominal: r.Num("83.010"), Value: plain(r.With("83.006", "mm")),
		Doubt: plain("± " + r.With("2.4", "µm")), Guard: r.T("page.at.guarded"), Title: r.T("page.legend.bar.whole")}
	v.Bars = append(v.Bars, Explained{Drawing: Drawing(big.LargeSVG()), Text: r.T("page.legend.bar.whole")})
	open := plot.LimitBar{Max: at(0.010), Value: at(0.004), U: 0.001, Guard: 0.001, Verdict: plot.Accept}
	empty := plot.LimitBar{Min: at(83.000), Max: at(83.020), Nominal: at(83.010)}
	for _, b := range []struct {
		bar plot.LimitBar
		key string
	}{{two(83.006, plot.Accept), "in"}, {two(83.0192, plot.Undecided), "undecided"}, {two(83.0235, plot.Reject), "out"},
		{two(83.090, plot.Reject), "beyond"}, {open, "open"}, {empty, "empty"}} {
		b.bar.Labels.Title = r.T("page.legend.bar." + b.key)
		v.Bars = append(v.Bars, Explained{Drawing: Drawing(b.bar.RowSVG()), Text: b.bar.Labels.Title})
	}
	for _, k := range []string{"rule", "doubt", "states", "numbers", "keys"} {
		v.Lines = append(v.Lines, Explained{Text: r.T("page.legend." + k)})
	}
	return v
}

func list4() []plot.Verdict {
	v := verdicts()
	return []plot.Verdict{v[2], v[1], v[0], v[3]}
}

// Cautions is the page of the warnings beside work that can hurt someone.
type Cautions struct {
	Frame
	List []Caution
}

// Caution is one of them.
type Caution struct{ ID, Name, Text string }

// Cautions makes the page.
func (r Reader) Cautions(lib *library.Library) Cautions {
	v := Cautions{Frame: r.frame(r.T("page.cautions.title"), "/cautions")}
	v.Under = r.T("page.cautions.under")
	for _, k := range lib.Cautions {
		v.List = append(v.List, Caution{k.ID, k.Name.In(r.Lang), k.Text.In(r.Lang)})
	}
	return v
}

// Settings is the page on which a reader sets language, mark and ground.
type Settings struct {
	Frame
	Langs, Marks, Themes []Choice
	Sample               string
	Back                 string
}

// Settings makes the page.
func (r Reader) Settings(back string) Settings {
	v := Settings{Frame: r.frame(r.T("page.reader.title"), "/reader"), Back: back, Sample: r.With("-83.010", "mm")}
	v.Under = r.T("page.reader.under")
	for _, l := range []string{"en", "de"} {
		v.Langs = append(v.Langs, Choice{l, r.T("page.reader.lang." + l), l == r.Lang})
	}
	for _, m := range []byte{'.', ','} {
		v.Marks = append(v.Marks, Choice{markName(m), r.T("page.mark." + markName(m)), m == r.Mark})
	}
	for _, t := range []string{"", "paper", "blueprint"} {
		v.Themes = append(v.Themes, Choice{t, r.T("page.reader.theme." + orLast(t, "follow")), t == r.Theme})
	}
	return v
}

// Problem is the page that says in one sentence what went wrong.
type Problem struct {
	Frame
	Sentences []string
	Next      []Link
}

// Problem makes the page.
func (r Reader) Problem(heading string, sentences []string, next ...Link) Problem {
	return Problem{Frame: r.frame(heading, ""), Sentences: sentences, Next: append(next, Link{Href: "/", Text: r.T("page.nav.jobs")})}
}

func pair(r Reader, key, text string) plot.Field {
	return plot.Field{Caption: r.T("page.block." + key), Text: text}
}
