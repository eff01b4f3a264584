package house

import "strings"

// Lattice is the plan of the house as data.
type Lattice struct {
	Floors     []Floor
	Exceptions []Exception
}

// Floor is a folder and the floors it may import. A floor that is not named
// here does not exist, and a package that lies on none breaks the rule.
type Floor struct {
	Path  string   // folder, with everything below it
	Below []string // paths of the floors it may import
	// Edge floors may touch disk, network, clock, environment and chance.
	Edge bool
	// Embeds says that files may be embedded here, and which.
	Embeds string
}

// Exception lets one room import its sibling. A star stands for any room.
type Exception struct{ From, To, Why string }

// Plan is the house as it stands. Whoever adds a room on a new floor or lets
// siblings meet changes this table, in the same commit, with the reason.
func Plan() Lattice {
	const (
		base    = "internal/base"
		maths   = "internal/maths"
		physics = "internal/physics"
		know    = "internal/know"
		facts   = "internal/facts"
		judge   = "internal/judge"
		show    = "internal/show"
		demo    = "internal/demo"
		store   = "internal/edge/store"
		bench   = "internal/edge/bench"
		door    = "internal/edge/door"
		trust   = "internal/edge/trust"
		web     = "internal/edge/web"
		cli     = "internal/edge/cli"
	)
	return Lattice{
		Floors: []Floor{
			{Path: base},
			{Path: maths, Below: []string{base}},
			// A table that takes minutes to work out is made by a command and lies beside its room.
			{Path: physics, Below: []string{base, maths}, Embeds: "the map of mobilities"},
			{Path: know, Below: []string{base}},
			{Path: facts, Below: []string{base, know}},
			{Path: judge, Below: []string{base, maths, physics, know, facts}},
			{Path: show, Below: []string{base, maths, physics, know, facts, judge},
				Embeds: "templates, stylesheets and fonts"},
			// The truth of the demo must not come from the code that judges it.
			{Path: demo, Below: []string{base, maths, physics, know, facts}},
			{Path: store, Below: []string{base, know, facts}, Edge: true, Embeds: "migrations"},
			// One command layer serves pages, programs and the command line.
			{Path: bench, Below: []string{base, maths, physics, know, facts, judge, store}, Edge: true},
			// Who may come in is decided apart from how it is asked on a page.
			{Path: door, Below: []string{base, maths, physics, know, facts, judge, store, bench}, Edge: true, Embeds: "the list of common passwords"},
			// Certificates touch the disk and the clock, and nothing of the workshop.
			{Path: trust, Below: []string{base}, Edge: true},
			{Path: web, Below: []string{base, maths, physics, know, facts, judge, show, demo, store, bench, door}, Edge: true,
				Embeds: "scripts and stylesheets"},
			{Path: cli, Below: []string{base, maths, physics, know, facts, judge, show, demo, store, bench, door, trust, web}, Edge: true},
			{Path: "data", Embeds: "the knowledge files and the demo"},
			{Path: "cmd", Below: []string{base, maths, physics, know, facts, judge, show, demo, store, bench, door, trust, web, cli, "data"},
				Edge: true},
			// The house checks itself and is imported by nobody.
			{Path: "internal/house", Edge: true},
		},
		Exceptions: []Exception{
			{"base/unit", "base/fault", "a number that cannot be read is a fault"},
			{"base/money", "base/fault", "an amount that cannot be read is a fault"},
			{"maths/study", "maths/summary", "sums that keep their digits, least squares"},
			{"judge/model", "judge/assess", "the engine that runs is the one that was judged"},
			{"know/library", "know/*", "the library puts the knowledge of a shop together"},
			{"know/*", "know/file", "one strict reader for every kind of knowledge file"},
			{"know/*", "know/words", "knowledge carries its texts in several languages"},
			{"know/family", "know/source", "a family may bring sources of its own"},
			{"know/cleaning", "know/finding", "a cleaning names cautions as findings do"},
			{"know/operation", "know/family", "a route is closed over the places of an engine"},
			{"know/route", "know/finding", "a route takes one of the ways out that a finding offers"},
			{"know/revise", "know/*", "a revision is of a family, with its sources"},
			{"facts/*", "facts/entry", "a job and a shop are replays of entries"},
			{"facts/shop", "facts/stock", "a lot is of a sort and is measured when it comes in"},
			{"facts/stocklist", "facts/shop", "a table of a shelf becomes entries of the shop"},
			{"facts/stocklist", "facts/stock", "its rows name sorts and measures"},
			{"facts/job", "facts/stock", "an order asks for a sort and says what a piece must measure"},
			{"facts/readings", "facts/*", "a sheet of readings becomes entries of a job and of a shop"},
			{"judge/foresee", "judge/*", "a cut is foreseen through the evaluation, by its rule"},
			{"judge/gauge", "judge/assess", "what leaned on a gauge is found in an assessment"},
			{"judge/cause", "judge/assess", "a verdict is evidence of a cause"},
			{"judge/offer", "judge/assess", "a line and a price say why as a value does"},
			{"judge/route", "judge/assess", "a route follows from findings and targets"},
			{"judge/offer", "judge/plan", "an option is a plan with its price and its date"},
			{"judge/assess", "judge/rule", "verdicts are given by a named rule"},
			{"judge/plan", "judge/*", "a plan chooses parts for what was assessed, by the same rules"},
			{"judge/compute", "judge/rule", "a decision rule can be run by name"},
			{"judge/allocate", "judge/rule", "a fit that is chosen has a verdict by the default rule"},
			{"judge/compute", "judge/allocate", "a selection of parts can be run by name"},
			{"judge/assess", "judge/compute", "each value names the computation that made it"},
			{"show/draw", "show/plot", "the drawings of an engine are made on the canvas"},
			{"show/view", "show/draw", "a view carries the drawing of its component"},
			{"show/page", "show/draw", "a page is headed by the drawing of its component"},
			{"show/sheet", "show/draw", "a sheet is headed by the drawing of its component"},
			{"show/text", "show/draw", "a text run writes its drawings to files"},
			{"show/view", "show/plot", "a view carries its finished drawings"},
			{"show/page", "show/view", "a page shows a view"},
			{"show/page", "show/plot", "a page draws on the canvas that writes SVG"},
			{"show/sheet", "show/view", "a sheet prints a view"},
			{"show/sheet", "show/plot", "a sheet draws on the canvas that writes PDF"},
			{"show/text", "show/view", "a text table prints a view"},
			{"show/text", "show/plot", "a text run writes its drawings to files"},
		},
	}
}

// floor finds the floor of a folder.
func (l Lattice) floor(dir string) (Floor, bool) {
	for _, f := range l.Floors {
		if dir == f.Path || strings.HasPrefix(dir, f.Path+"/") {
			return f, true
		}
	}
	return Floor{}, false
}

// room is the name by which exceptions know a folder: the last part of its
// floor and the first part below it. Folders deeper down are the same room.
func room(f Floor, dir string) string {
	name := f.Path[strings.LastIndexByte(f.Path, '/')+1:]
	rest := strings.TrimPrefix(strings.TrimPrefix(dir, f.Path), "/")
	if rest == "" {
		return name
	}
	first, _, _ := strings.Cut(rest, "/")
	return name + "/" + first
}

// allows reports whether an exception lets one room import another.
func (l Lattice) allows(from, to string) bool {
	for _, e := range l.Exceptions {
		if matches(e.From, from) && matches(e.To, to) {
			return true
		}
	}
	return false
}

func matches(pattern, room string) bool {
	if floor, ok := strings.CutSuffix(pattern, "/*"); ok {
		return strings.HasPrefix(room, floor+"/")
	}
	return pattern == room
}
