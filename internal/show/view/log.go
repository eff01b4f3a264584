package view

import (
	"strconv"
	"strings"

	"fettle/internal/facts/entry"
)

// Log is the page of a job's entries.
type Log struct {
	Frame
	Lines   []LogLine
	Head    string
	Unknown string // how many are not understood, "" for none
	Older   string // address of the entries before these, "" for none
	Newer   string // address of the first ones, "" where these are they
}

// LogLine is one entry.
type LogLine struct {
	Seq, Kind, About, Text, Reason string
	Href                           string
	Who, Device, When              string
	Hash                           string
	Known                          bool
	Void                           bool // a reading that no longer counts
}

// shownEntries is how many entries one page of the log lists.
const shownEntries = 200

// LogPage makes the page of the log, newest first; before is the sequence that
// the page stops short of, 0 for the newest.
func (c *Case) LogPage(r Reader, before int64) Log {
	v := Log{Frame: c.frame(r, r.T("page.log.title"), "log", "", c.lastState("")), Head: c.Job.Head.String()}
	v.Under = r.N("page.log.under", len(c.Job.Lines))
	odd := 0
	for i := range c.Job.Lines {
		if !c.Job.Lines[i].Known {
			odd++
		}
	}
	if before > 0 {
		v.Newer = JobHref(c.id(), "log")
	}
	for i := len(c.Job.Lines) - 1; i >= 0; i-- {
		l := &c.Job.Lines[i]
		if before > 0 && l.Seq >= before {
			continue
		}
		if len(v.Lines) == shownEntries {
			v.Older = JobHref(c.id(), "log") + "?before=" + strconv.FormatInt(l.Seq+1, 10)
			break
		}
		line := LogLine{Seq: r.Int(int(l.Seq)), Kind: r.or("page.kind."+strings.ReplaceAll(string(l.Kind), " ", "-"), string(l.Kind)),
			About: l.About, Text: r.Text(l.Text), Reason: l.Reason, Who: c.person(l.Person), Device: l.Device, When: r.Day(l.Time),
			Hash: l.Hash.Short(), Known: l.Known}
		if c.place(l.About) != nil {
			line.About, line.Href = c.Place(r, l.About), AtHref(c.id(), l.About, "")
		}
		if l.Kind == entry.FamilyRepinned {
			line.Text = short12(l.Text)
		}
		if l.Photo > 0 {
			p := &c.Job.Photos[l.Photo-1]
			line.About, line.Href = c.photoOf(r, &p.PhotoV1).Text, JobHref(c.id(), "photo", p.Key)
		}
		if l.Seen > 0 {
			o := &c.Job.Observations[l.Seen-1]
			line.About, line.Text, line.Href = c.seenWhere(r, o), c.SeenWhat(r, o), JobHref(c.id(), "part", componentOf(o.Part))
		}
		if rd, ok := c.Job.Find(l.Key); ok && !rd.Counts() {
			line.Void = true
		}
		c.arrived(r, l, &line)
		v.Lines = append(v.Lines, line)
	}
	if odd > 0 {
		v.Unknown = r.N("page.log.unknown", odd)
	}
	return v
}
