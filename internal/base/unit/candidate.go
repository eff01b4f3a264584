package unit

import (
	"strings"
	"unicode/utf8"
)

// Candidate is one number that a text may stand for.
type Candidate struct{ Quantity }

// In writes a candidate the way a person with this decimal mark types it.
func (c Candidate) In(mark byte) string {
	s := c.Text
	if mark == ',' {
		s = strings.Replace(s, ".", ",", 1)
	}
	if c.Unit == "" || c.Unit == "1" {
		return s
	}
	return s + " " + c.Unit
}

// Perhaps writes what a text may stand for in one line, the way a person with
// this decimal mark types it; "" where there is nothing. Where dim is a kind of
// quantity only candidates of it count.
//
// Shapes: text -> text.
// Units:  as Readings.
// Errors: none.
func Perhaps(text, unitName string, mark byte, dim Dim) string {
	var out []string
	for _, c := range Readings(text, unitName, mark) {
		said := c.In(mark) == strings.TrimSpace(text)
		if !said && (dim == None || c.Dim == dim || c.Dim == None) {
			out = append(out, c.In(mark))
		}
	}
	return strings.Join(out, ", ")
}

// Bounds of what is looked into.
const (
	longestText    = 64 // letters
	mostCandidates = 6
	mostPlaces     = 9 // of an exponent
)

// Readings lists the numbers that a text may stand for, the likeliest first. A
// text that Parse takes has one, that of Parse. For any other, what people and
// their keyboards do to numbers is undone: marks of thousands, the other decimal
// mark, two marks, signs twice, letters for digits, digits of other scripts,
// spaces, exponents, words of the shop for a unit. Nothing is chosen here: where
// there are two meanings there are two candidates, and a text without digits or
// with nothing to make sense of has none.
//
// Shapes: text -> at most six quantities, none twice.
// Units:  the closed list of this package; without any unit the candidates have
// none, and no kind either.
// Errors: none. Every candidate's text is read by Parse as that candidate.
func Readings(text, unitName string, mark byte) []Candidate {
	if mark != ',' {
		mark = '.'
	}
	if utf8.RuneCountInString(text) > longestText {
		return nil
	}
	if q, err := Parse(text, unitName, mark); err == nil {
		return []Candidate{{q}}
	}
	var w wording
	for _, r := range unitsIn(fold(text), nameOf(unitName)) {
		for _, number := range numbers(r.number, mark) {
			for _, m := range r.units {
				w.add(number, m)
			}
		}
	}
	return w.out
}

// wording gathers candidates.
type wording struct{ out []Candidate }

// add takes a number with a meaning of its unit, if that is a quantity and new.
func (w *wording) add(number string, m meaning) {
	number, ok := shifted(number, m.tens)
	if !ok || len(w.out) == mostCandidates {
		return
	}
	name := m.unit
	if name == "" {
		name = "1"
	}
	q, err := Parse(number, name, '.')
	if err != nil {
		return
	}
	if m.unit == "" {
		q.Dim, q.Unit = None, ""
	}
	c := Candidate{q}
	for _, other := range w.out {
		if other.In('.') == c.In('.') {
			return
		}
	}
	w.out = append(w.out, c)
}

// folds are letters that stand for plain ones: digits of other scripts are
// handled by number.
var folds = strings.NewReplacer("−", "-", "–", "-", "—", "-", "‐", "-", "‑", "-", "－", "-", "＋", "+", "．", ".", "，", ",", "٫", ".", "٬", ",",
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "\u2007", " ", "\u3000", " ", "\t", " ", "’", "'", "⌀", "", "Ø", "", "ø", "")

// fold turns signs, marks, spaces and digits of other scripts into plain ones.
func fold(text string) string {
	s := []rune(folds.Replace(text))
	for i, r := range s {
		for _, zero := range [...]rune{'０', '٠', '۰', '०'} {
			if r >= zero && r <= zero+9 {
				s[i] = '0' + r - zero
			}
		}
	}
	return strings.Join(strings.Fields(string(s)), " ")
}

// meaning is a unit and the power of ten by which a number in it is another.
type meaning struct {
	unit string
	tens int
}

// spoken are words of the shop for units, some with two meanings: a mil is a
// thousandth of an inch in one shop and a millimetre in the next.
// Source: common practice, no source.
func spoken(word string) []meaning {
	switch strings.TrimRight(strings.ToLower(word), ".") {
	case "mil", "mils", "mill", "mills":
		return []meaning{{"thou", 0}, {"mm", 0}}
	case "thous", "thousandth", "thousandths":
		return []meaning{{"thou", 0}, {"mm", -3}}
	case "tenth", "tenths":
		return []meaning{{"in", -4}, {"mm", -1}}
	case "hundredth", "hundredths":
		return []meaning{{"mm", -2}}
	case "micron", "microns", "mic", "mics", "mu", "my":
		return []meaning{{"µm", 0}}
	case "inches", "zoll", "''", "”", "″":
		return []meaning{{"in", 0}}
	case "millimetre", "millimetres", "millimeter", "millimeters":
		return []meaning{{"mm", 0}}
	case "gram", "grams", "gramm":
		return []meaning{{"g", 0}}
	case "degree", "degrees", "grad":
		return []meaning{{"°", 0}}
	}
	if m, ok := find(strings.ToLower(word)); ok {
		return []meaning{{m.name, 0}}
	}
	return nil
}

// reading is the number part of a text with what its unit may mean.
type reading struct {
	number string
	units  []meaning
}

// halves are words before a unit that make half of it.
var halves = [...]string{"half a", "half", "ein halber", "halber", "½"}

// unitsIn cuts the unit off a text. Half a unit in words is a number too, and
// where a number stands before it either may be meant.
func unitsIn(s, unitName string) []reading {
	typed := []meaning{{unitName, 0}}
	for i := range s {
		if s[i:] == "1" { // the unit of pure numbers is no end of a number
			break
		}
		units := spoken(s[i:])
		if m, ok := find(s[i:]); ok {
			units = []meaning{{m.name, 0}}
		}
		if units == nil {
			continue
		}
		number := strings.TrimSpace(s[:i])
		for _, half := range halves {
			if len(number) < len(half) || !strings.EqualFold(number[len(number)-len(half):], half) {
				continue
			}
			out := []reading{{"0.5", units}}
			if before := strings.TrimSpace(number[:len(number)-len(half)]); before != "" {
				out = append(out, reading{before, typed}, reading{before, units})
			}
			return out
		}
		return []reading{{number, units}}
	}
	return []reading{{s, typed}}
}

func nameOf(unitName string) string {
	m, _ := find(unitName)
	return m.name
}

// shifted moves the decimal mark of a plain number by so many places.
func shifted(number string, tens int) (string, bool) {
	if tens == 0 {
		return number, true
	}
	if tens < -mostPlaces || tens > mostPlaces {
		return "", false
	}
	bare, minus := strings.CutPrefix(number, "-")
	whole, part, _ := strings.Cut(bare, ".")
	for ; tens > 0; tens-- {
		if part == "" {
			part = "0"
		}
		whole, part = whole+part[:1], part[1:]
	}
	for ; tens < 0; tens++ {
		if len(whole) == 1 {
			whole = "0" + whole
		}
		whole, part = whole[:len(whole)-1], whole[len(whole)-1:]+part
	}
	whole = strings.TrimLeft(whole, "0")
	if whole == "" {
		whole = "0"
	}
	if part != "" {
		whole += "." + part
	}
	if minus {
		whole = "-" + whole
	}
	return whole, true
}
