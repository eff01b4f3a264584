// Package certificate reads the digital calibration certificate of a gauge or
// master: XML after DCC 3.1 and 3.2 with quantities after D-SI 2.1 and 2.2. It
// takes what a shop needs (what was calibrated, when, the points with their
// uncertainty) and leaves the rest in the file, which is kept as it came.
//
// A certificate that follows the form is not thereby genuine: a signature is
// seen, not checked, and a remark says so.
package certificate

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// MostBytes is the largest certificate that is read.
const MostBytes = 8 << 20

// The namespaces of a certificate.
const (
	dcc  = "https://ptb.de/dcc"
	dsi  = "https://ptb.de/si"
	dsig = "http://www.w3.org/2000/09/xmldsig#"
)

// Certificate is what a shop takes from one.
type Certificate struct {
	Schema     string // e.g. 3.2.0
	ID         string // the certificate's unique identifier
	Begin, End string // dates of the calibration, as 2026-01-31
	Lab        string
	Items      []Item
	Results    []Result
	Signed     bool // it carries a signature, which nobody has checked
}

// Item is one thing that was calibrated.
type Item struct {
	Name, Manufacturer, Model string
	Serial                    string // as its manufacturer numbers it
	Owner                     string // as its owner numbers it
}

// Result is one table of a certificate.
type Result struct {
	Name   string
	Points []Point
}

// Point is one row of a result. A quantity that the certificate does not give
// is zero; the expanded uncertainty is always there.
type Point struct {
	Nominal     unit.Quantity // the mark, step or engraved size
	Reference   unit.Quantity // the size that the laboratory realised
	Indication  unit.Quantity // what the item showed, or the size found of a master
	Deviation   unit.Quantity // as the certificate states it
	Expanded    unit.Quantity
	Coverage    unit.Quantity // factor k, a number
	Probability unit.Quantity // a number; zero where not given
}

// Remark is something a reader of the certificate should know that stops
// nothing.
type Remark struct {
	Key  string // of its sentence
	Args fault.Args
}

// Pairs are the arguments by name, as a sentence takes them.
func (r *Remark) Pairs() []string {
	names := make([]string, 0, len(r.Args))
	for n := range r.Args {
		names = append(names, n)
	}
	slices.Sort(names)
	var out []string
	for _, n := range names {
		out = append(out, n, r.Args[n])
	}
	return out
}

var versions = regexp.MustCompile(`^3\.[12]\.[0-9]{1,3}$`)

// Read reads a certificate. name stands in the places of faults.
//
// Errors: a fault.List with line and column of everything that keeps it from
// being used.
func Read(name string, text []byte) (*Certificate, []Remark, error) {
	if len(text) > MostBytes {
		return nil, nil, fault.List{fault.New(fault.TooLarge, "certificate.too-large", "most", "8 MiB").At(name, 1, 1)}
	}
	root, err := parse(name, bytes.TrimPrefix(text, []byte("\ufeff")))
	if err != nil {
		return nil, nil, fault.All(err)
	}
	r := reader{name: name}
	c := r.certificate(root)
	if len(r.faults) > 0 {
		r.faults.Sort()
		return nil, nil, r.faults
	}
	return c, r.remarks, nil
}

// reader gathers what is wrong and what is worth knowing.
type reader struct {
	name    string
	faults  fault.List
	remarks []Remark
}

// mostFaults keeps a broken file from filling a screen.
const mostFaults = 50

func (r *reader) bad(at *node, f *fault.Fault) {
	if len(r.faults) < mostFaults {
		r.faults = append(r.faults, f.At(r.name, at.line, at.col))
	}
}

func (r *reader) remark(key string, pairs ...string) {
	if len(r.remarks) >= mostFaults {
		return
	}
	m := Remark{Key: key, Args: fault.Args{}}
	for i := 0; i+1 < len(pairs); i += 2 {
		m.Args[pairs[i]] = pairs[i+1]
	}
	r.remarks = append(r.remarks, m)
}

func (r *reader) certificate(root *node) *Certificate {
	if root.space != dcc || root.name != "digitalCalibrationCertificate" {
		r.bad(root, fault.New(fault.Invalid, "certificate.root", "found", clip(root.name)))
		return nil
	}
	c := &Certificate{Schema: root.attr("schemaVersion")}
	if !versions.MatchString(c.Schema) {
		r.bad(root, fault.New(fault.Invalid, "certificate.version", "found", clip(c.Schema)))
		return nil
	}
	admin := r.need(root, "administrativeData")
	core := r.need(admin, "coreData")
	c.ID = r.text(core, "uniqueIdentifier")
	c.Begin, c.End = r.date(core, "beginPerformanceDate"), r.date(core, "endPerformanceDate")
	if c.Begin > c.End && c.End != "" {
		r.bad(core, fault.New(fault.Invalid, "certificate.dates", "begin", c.Begin, "end", c.End))
	}
	c.Lab = words(admin.kid(dcc, "calibrationLaboratory").kid(dcc, "contact").kid(dcc, "name"))
	items := r.need(admin, "items")
	for _, n := range items.all(dcc, "item") {
		c.Items = append(c.Items, item(n))
	}
	if items != nil && len(c.Items) == 0 {
		r.bad(items, fault.New(fault.Missing, "certificate.lacks", "element", "item"))
	}
	c.Results = r.results(root)
	c.Signed = root.kid(dsig, "Signature") != nil
	if c.Signed {
		r.remark("certificate.unchecked")
	} else {
		r.remark("certificate.unsigned")
	}
	return c
}

// need finds a child that must be there.
func (r *reader) need(in *node, name string) *node {
	n := in.kid(dcc, name)
	if n == nil && in != nil {
		r.bad(in, fault.New(fault.Missing, "certificate.lacks", "element", name))
	}
	return n
}

// text is the text of a child that must be there and hold some.
func (r *reader) text(in *node, name string) string {
	n := r.need(in, name)
	if n == nil {
		return ""
	}
	if n.text == "" {
		r.bad(n, fault.New(fault.Missing, "certificate.empty", "element", name))
	}
	return n.text
}

// date reads a day; the time zone that the form allows behind it is dropped.
func (r *reader) date(in *node, name string) string {
	n := r.need(in, name)
	if n == nil {
		return ""
	}
	day := n.text
	if len(day) > 10 {
		day = day[:10]
	}
	if _, err := time.Parse("2006-01-02", day); err != nil || !zone.MatchString(n.text[len(day):]) {
		r.bad(n, fault.New(fault.Invalid, "certificate.date", "found", clip(n.text), "element", name))
		return ""
	}
	return day
}

var zone = regexp.MustCompile(`^(Z|[+-][0-9]{2}:[0-9]{2})?$`)

func item(n *node) Item {
	i := Item{Name: words(n.kid(dcc, "name")), Manufacturer: words(n.kid(dcc, "manufacturer").kid(dcc, "name")), Model: n.kid(dcc, "model").value()}
	for _, id := range n.kid(dcc, "identifications").all(dcc, "identification") {
		v := id.kid(dcc, "value").value()
		switch id.kid(dcc, "issuer").value() {
		case "manufacturer":
			if i.Serial == "" {
				i.Serial = v
			}
		case "customer", "owner":
			if i.Owner == "" {
				i.Owner = v
			}
		}
	}
	return i
}

// words is a text in English, or else in the language that stands first.
func words(n *node) string {
	first := ""
	for _, c := range n.all(dcc, "content") {
		if c.attr("lang") == "en" {
			return c.text
		}
		if first == "" {
			first = c.text
		}
	}
	return first
}

func clip(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

func whole(n int) string { return strconv.Itoa(n) }
