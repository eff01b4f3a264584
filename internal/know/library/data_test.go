package library_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/judge/compute"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
	"fettle/internal/know/words"
)

const folder = "../../../data"

// shipped reads the knowledge files of this repository.
func shipped(t *testing.T) (*library.Library, library.Files) {
	t.Helper()
	files := library.Files{}
	err := filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(folder, path)
		if err != nil || strings.HasPrefix(name, "demo") {
			return err
		}
		text, err := os.ReadFile(path)
		files[filepath.ToSlash(name)] = text
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	l, faults := library.Read(files, compute.Signature)
	for _, f := range faults {
		t.Error(f)
	}
	for _, f := range l.AllFamilies(files) {
		t.Error(f)
	}
	if t.Failed() {
		t.FailNow()
	}
	return l, files
}

// Law: each row of the plan has its reason, or a characteristic of a shipped
// family that names it and carries a limit, a finding and a way out.
func TestPlanIsAnswered(t *testing.T) {
	l, _ := shipped(t)
	answered := map[string]map[string]bool{}
	for id, lay := range l.Families {
		answered[id] = map[string]bool{}
		for i := range lay.Family.Characteristics {
			c := &lay.Family.Characteristics[i]
			if len(c.Limits) == 0 || len(l.Findings[c.Finding].Options) == 0 || len(lay.Of(c.ID)) == 0 {
				continue
			}
			for _, row := range c.Plan {
				answered[id][row] = true
			}
		}
	}
	for _, row := range l.Plan {
		by := 0
		for _, rows := range answered {
			if rows[row.ID] {
				by++
			}
		}
		if by == 0 && row.Unless == "" {
			t.Errorf("no family answers %s: %s", row.ID, row.Text)
		}
		if by > 0 && row.Unless != "" {
			t.Errorf("%s is answered and still says why it is not: %s", row.ID, row.Unless)
		}
	}
	// What an engine does not have, it need not answer.
	without := map[string]string{
		"corran-24-5": "services/throttles",
		"tarn-32-6":   "services/throttles",
		"skerry-40-8": "cams/phaser oil/jets",
		"brae-05-1":   "block/bridge cams/phaser rods/joint rods/bolt-length rods/bolt-stretch",
	}
	for id, rows := range answered {
		for _, row := range l.Plan {
			lacks := strings.Contains(" "+without[id]+" ", " "+row.ID+" ")
			if row.Unless == "" && rows[row.ID] == lacks {
				t.Errorf("%s: %s answered %v, expected %v", id, row.ID, rows[row.ID], !lacks)
			}
		}
	}
	if len(l.Plan) < 110 {
		t.Errorf("only %d rows in the plan", len(l.Plan))
	}
}

// Law: every measured characteristic has a nominal, every limit a finding,
// every option that names something to do again names something that exists.
func TestKnowledgeHangsTogether(t *testing.T) {
	l, _ := shipped(t)
	chars, used, checked, cautions := map[string]bool{}, map[string]bool{}, map[string]string{}, map[string]bool{}
	for id, lay := range l.Families {
		for i := range lay.Family.Characteristics {
			c := &lay.Family.Characteristics[i]
			chars[c.ID], used[c.Finding] = true, true
			if c.Quantity == family.Check {
				checked[c.Finding] = c.ID
			}
			if c.Quantity != family.Check && c.Relation == "" && c.Nominal.IsZero() {
				t.Errorf("%s: %s has no nominal", id, c.ID)
			}
			if (len(c.Limits) > 0) != (c.Finding != "") {
				t.Errorf("%s: %s has %d limits and finding %q", id, c.ID, len(c.Limits), c.Finding)
			}
			if c.Relation == "" && c.Quantity != family.Check && len(c.Gauges) == 0 {
				t.Errorf("%s: %s has no gauge", id, c.ID)
			}
			for _, g := range c.Gauges {
				if ins := l.Instruments[g]; ins.Quantity != c.Quantity {
					t.Errorf("%s: %s is %s, its gauge %s reads %s", id, c.ID, c.Quantity, g, ins.Quantity)
				}
			}
			for _, lim := range c.Limits {
				if lim.Source != "invented-demo" || lim.Status != "invented for the demo" {
					t.Errorf("%s: %s does not say that its limit is invented", id, c.ID)
				}
			}
		}
	}
	for _, c := range l.Cautions {
		cautions[c.ID] = true
		if !strings.Contains(c.Text.In("en"), "engine maker's manual") {
			t.Errorf("caution %s does not defer to those who know", c.ID)
		}
	}
	beside := map[string]bool{}
	for id, f := range l.Findings {
		if !used[id] {
			t.Errorf("no characteristic leads to finding %s", id)
		}
		if c, ok := checked[id]; ok && strings.Contains(f.Title.In("en"), "{value}") {
			t.Errorf("the title of finding %s wants a value, but the check %s has none", id, c)
		}
		if _, ok := l.Sources[string(f.Source)]; !ok {
			t.Errorf("finding %s: no source %s", id, f.Source)
		}
		for _, o := range f.Options {
			if o.Caution != "" && !cautions[o.Caution] {
				t.Errorf("finding %s: no caution %s", id, o.Caution)
			}
			beside[o.Caution] = true
			for _, k := range o.Knocks {
				if !chars[k] {
					t.Errorf("finding %s knocks on %s, which no family has", id, k)
				}
			}
		}
	}
	for _, p := range l.Cleaning.Processes {
		beside[p.Caution] = true
	}
	for _, m := range l.Strip.Method {
		beside[m.Caution] = true
	}
	for id := range cautions {
		if !beside[id] {
			t.Errorf("caution %s stands beside no work", id)
		}
	}
	for id, m := range l.Materials {
		if _, ok := l.Sources[string(m.Source)]; !ok {
			t.Errorf("material %s: no source %s", id, m.Source)
		}
		if alloy := m.Expansion.SI() > 17e-6; alloy && m.HotCaustic != "destroys" {
			t.Errorf("material %s may go into hot caustic", id)
		}
	}
	for id, m := range l.Instruments {
		if _, ok := l.Sources[string(m.Source)]; !ok {
			t.Errorf("instrument %s: no source %s", id, m.Source)
		}
		if _, ok := l.Materials[m.Material]; m.Material != "" && !ok {
			t.Errorf("instrument %s: no material %s", id, m.Material)
		}
	}
}

// Law: one full set of single readings is as large as such a job really is.
func TestReadingsOfAJob(t *testing.T) {
	l, _ := shipped(t)
	least := map[string]int{"corran-24-5": 1000, "tarn-32-6": 1150, "skerry-40-8": 1000, "brae-05-1": 250}
	for id, lay := range l.Families {
		values, checks, derived := 0, 0, 0
		for i := range lay.Places {
			switch c := lay.Places[i].Char; {
			case c.Relation != "":
				derived++
			case c.Quantity == family.Check:
				checks++
			default:
				values++
			}
		}
		t.Logf("%s: %d characteristics, %d values to read, %d checks, %d derived", id, len(lay.Family.Characteristics), values, checks, derived)
		if values < least[id] {
			t.Errorf("%s: %d values to read, expected at least %d", id, values, least[id])
		}
		if derived == 0 || checks == 0 {
			t.Errorf("%s: %d checks, %d derived", id, checks, derived)
		}
	}
	if len(l.Families) != len(least) {
		t.Errorf("%d families", len(l.Families))
	}
}

// Law: everything that a person reads is there in English.
func TestEnglishIsComplete(t *testing.T) {
	l, _ := shipped(t)
	say := func(where string, texts ...words.Text) {
		for _, x := range texts {
			if x["en"] == "" {
				t.Errorf("%s has no English", where)
			}
		}
	}
	for id, lay := range l.Families {
		f := lay.Family
		say(id, f.Name, f.Note)
		for _, c := range f.Components {
			say(id+" "+c.ID, c.Name)
		}
		for name, d := range f.Dimensions {
			say(id+" "+name, d.Name)
		}
		for _, c := range f.Characteristics {
			say(id+" "+c.ID, c.Name)
		}
		for _, b := range f.Engine.Fasteners {
			say(id+" "+b.ID, b.Name)
		}
	}
	for id, f := range l.Findings {
		say(id, f.Title, f.Leaving, f.Causes)
		for _, o := range f.Options {
			say(id, o.Text)
		}
	}
	for _, c := range l.Cautions {
		say(c.ID, c.Name, c.Text)
	}
	for id, m := range l.Materials {
		say(id, m.Name)
	}
	for id, m := range l.Instruments {
		say(id, m.Name)
	}
	for id, c := range l.Conditions {
		say(id, c.Name, c.Why)
	}
}

// Published: W. D. Callister, Fundamentals of Materials Science and Engineering,
// 3rd edition, Appendix B, Table B.6, and JCGM 100:2008, example H.1 (steel of
// the end gauge): coefficients in 1e-6 per kelvin as printed.
func TestPublishedExpansion(t *testing.T) {
	l, _ := shipped(t)
	printed := map[string]string{
		"grey-iron": "11.4", "ductile-iron": "11.2", "carbon-steel": "11.7", "forged-steel": "12.3",
		"hardened-steel": "11.5", "bronze": "18.0", "al-si": "21.5", "al-wrought": "23.6", "magnesium": "26.0", "titanium": "8.6",
	}
	for id, m := range l.Materials {
		want, ok := printed[id]
		switch {
		case ok != (m.Status == cite.CopiedTable):
			t.Errorf("%s: status %q, in the printed table: %v", id, m.Status, ok)
		case ok && (m.Expansion.Text != want || m.Expansion.Unit != "1e-6/K"):
			t.Errorf("%s: %s, printed %s", id, m.Expansion, want)
		}
		// Sources differ by 5 to 10 %: half the width is never less than 4 %.
		if m.HalfWidth.SI() < 0.04*m.Expansion.SI() {
			t.Errorf("%s: half width %s of %s", id, m.HalfWidth, m.Expansion)
		}
	}
}

// Law: round a healthy nominal there is room for the doubt of the usual gauge:
// at least two expanded uncertainties to each bound, three to all but a few.
func TestRoomRoundNominals(t *testing.T) {
	l, _ := shipped(t)
	tight, all := 0, 0
	for id, lay := range l.Families {
		for i := range lay.Family.Characteristics {
			c := &lay.Family.Characteristics[i]
			if c.Relation != "" || c.Quantity == family.Check {
				continue
			}
			g, x := l.Instruments[c.Gauges[0]], c.Nominal.SI()
			u := math.Sqrt(sq(g.Repeat.SI()) + sq(g.Bias.SI()) + sq(g.SetRepeat.SI()) + sq(g.Resolution.SI())/12 + sq(g.Relative.SI()*x))
			for _, lim := range c.Limits {
				room := math.Inf(1)
				if !lim.Min.IsZero() {
					room = x - lim.Min.SI()
				}
				if !lim.Max.IsZero() {
					room = math.Min(room, lim.Max.SI()-x)
				}
				all++
				if room < 3*2*u {
					tight++
				}
				if room < 2*2*u {
					t.Errorf("%s: %s at %s: %s to its nearest %s bound with u = %.3g", id, c.ID, c.Nominal, unit.Format(room, c.Unit, c.Decimals+1), lim.For, u)
				}
			}
		}
	}
	if tight*20 > all {
		t.Errorf("%d of %d limits leave less than three expanded uncertainties", tight, all)
	}
	t.Logf("%d of %d limits leave less than three expanded uncertainties", tight, all)
}

func sq(x float64) float64 { return x * x }

// Law: the files that no verdict leans on are sound, and each part they name is
// one of some shipped family; they are no part of a family's digest.
func TestGuidesHangTogether(t *testing.T) {
	l, files := shipped(t)
	for _, f := range l.Guides() {
		t.Error(f)
	}
	parts := map[string]bool{}
	for _, lay := range l.Families {
		for i := range lay.Family.Components {
			parts[lay.Family.Components[i].ID] = true
		}
	}
	kinds := l.Observations()
	if len(kinds.Kinds) < 40 {
		t.Errorf("only %d kinds", len(kinds.Kinds))
	}
	for _, k := range kinds.Kinds {
		for _, p := range k.Parts {
			if !parts[p] {
				t.Errorf("%s is seen on %s, which no family has", k.ID, p)
			}
		}
	}
	for p := range parts {
		for _, w := range kinds.Places(p) {
			if w.ID == "" {
				t.Errorf("%s names a place that is not there", p)
			}
		}
	}
	chars := map[string]bool{}
	for _, lay := range l.Families {
		for i := range lay.Family.Characteristics {
			chars[lay.Family.Characteristics[i].ID] = true
		}
	}
	cat := l.Failures()
	if len(cat.Modes) < 60 || len(cat.Signs) < 100 {
		t.Errorf("only %d modes and %d signs", len(cat.Modes), len(cat.Signs))
	}
	for _, s := range cat.Signs {
		for _, id := range s.Measured {
			if !chars[id] {
				t.Errorf("%s is measured by %s, which no family has", s.ID, id)
			}
		}
	}
	if oils := l.Lubricants(); len(oils.Oils) < 6 || len(oils.Fuels) == 0 {
		t.Errorf("only %d oils and %d fuels", len(oils.Oils), len(oils.Fuels))
	}
	odd := library.Files{}
	for n, text := range files {
		odd[n] = []byte(strings.Replace(string(text), "usual: oil-5w-40", "usual: grease", 1))
	}
	if strange, _ := library.Read(odd, compute.Signature); len(strange.Guides()) == 0 || strange.Guides()[0].Key != "running.unknown-lubricant" {
		t.Errorf("an engine may run on an oil that is not there: %v", strange.Guides())
	}
	without := library.Files{}
	for n, text := range files {
		if n != "observations.yaml" && n != "failures.yaml" && n != "lubricants.yaml" {
			without[n] = text
		}
	}
	bare, faults := library.Read(without, compute.Signature)
	if len(faults) > 0 || len(bare.AllFamilies(without)) > 0 || len(bare.Guides()) > 0 || len(bare.Observations().Kinds) > 0 || len(bare.Lubricants().Oils) > 0 {
		t.Fatal("a folder without guides is not read as one")
	}
	for id, d := range l.Digests {
		if bare.Digests[id] != d {
			t.Errorf("the digest of %s leans on a file that no verdict leans on", id)
		}
	}
}

// Law: every shipped engine is known as it runs, within what its family says.
func TestEveryFamilyRuns(t *testing.T) {
	l, _ := shipped(t)
	for id, lay := range l.Families {
		f, ok := l.Running(id)
		if !ok {
			t.Errorf("nothing is known of %s as it runs", id)
			continue
		}
		e := &lay.Family.Engine
		if f.Track.Speed.SI() > e.Limiter.SI() || f.Idle.Speed.SI() >= f.Track.Speed.SI() {
			t.Errorf("%s: idle %s, track %s, limiter %s", id, f.Idle.Speed.String(), f.Track.Speed.String(), e.Limiter.String())
		}
		if shell := f.Pin.Groove != ""; shell != (e.BigEnd == "shell") {
			t.Errorf("%s: a big end of %s, and the pin's bearing says otherwise", id, e.BigEnd)
		}
	}
}
