package familytest

import "fmt"

// engine writes the head of the file and the geometry.
func (g *generator) engine() {
	shared := g.layout == "vee" && g.twoBanks
	mains := g.cyl + 1
	if shared {
		mains = g.perBank + 1
	}
	spec := Spec{g.cyl, g.inlet, g.exhaust, g.layout, g.train, g.drive}
	g.line("fettle: family/1")
	g.line("id: %s", spec)
	g.line("name: {en: \"Test engine, %s, %d cylinders, %d valves\"}", g.layout, g.cyl, g.inlet+g.exhaust)
	g.line("note: {en: Synthetic family for tests; belongs to no engine}")
	g.line("engine:")
	g.line("  layout: %s", g.layout)
	g.line("  cylinders: %d", g.cyl)
	switch {
	case g.layout == "vee":
		g.line("  bank_angle: 90 °")
	case g.layout == "flat":
		g.line("  bank_angle: 180 °")
	}
	g.line("  bore: 84.0 mm")
	g.line("  stroke: 86.0 mm")
	g.line("  rod: 143.0 mm")
	g.line("  compression_height: 31.0 mm")
	g.line("  deck_height: 217.5 mm")
	g.line("  bore_spacing: 92.0 mm")
	g.line("  face_width: 172.0 mm")
	g.line("  bore_depth: 138.0 mm")
	g.line("  limiter: 7200 rpm")
	g.line("  mains: %d", mains)
	g.line("  thrust_main: %d", (mains+1)/2)
	if shared {
		g.line("  shared_pins: true")
	}
	g.line("  main_journal: 58.0 mm")
	g.line("  pin_journal: 48.0 mm")
	bigEnd, liner := "shell", []string{"none", "dry", "wet"}[g.cyl%3]
	if g.cyl == 1 {
		bigEnd = "roller"
	}
	g.line("  big_end: %s", bigEnd)
	if liner == "none" {
		g.line("  block: {material: grey-iron, liner: none}")
	} else {
		g.line("  block: {material: al-si, liner: %s, liner_material: grey-iron}", liner)
	}
	g.line("  head: {material: al-si, minimum_height: 131.60 mm}")
	head := map[int][2]string{2: {"38.0 mm", "32.0 mm"}, 3: {"31.0 mm", "34.0 mm"}, 4: {"32.5 mm", "27.5 mm"}, 5: {"27.0 mm", "28.0 mm"}}[g.inlet+g.exhaust]
	g.line("  valves: {inlet: %d, exhaust: %d, inlet_head: %s, exhaust_head: %s, stem: 6.0 mm, length: 104.0 mm, lift: 9.6 mm}", g.inlet, g.exhaust, head[0], head[1])
	shafts, journals := g.cams()
	how := map[string]string{"pushrod": "adjust: screw, lash_ratio: 1.50 1", "bucket": "adjust: shim, shim_place: bucket-top", "finger": "adjust: shim, shim_place: tip, lash_ratio: 1.60 1"}[g.train]
	g.line("  valvetrain: {kind: %s, %s, camshafts: %d, cam_journals: %d}", g.train, how, shafts, journals)
	g.phasers(shafts)
	switch g.drive {
	case "chain":
		g.line("  drive: {kind: chain, rows: 1, pitch: 8.0 mm, links: 152, crank_teeth: 20, cam_teeth: 40, taut_run: 300 mm, inclination: 6 °, tensioner_stroke: 18 mm}")
	case "belt":
		g.line("  drive: {kind: belt, pitch: 9.525 mm, links: 134, crank_teeth: 22, cam_teeth: 44, taut_run: 310 mm, inclination: 5 °}")
	case "gear":
		g.line("  drive: {kind: gear, crank_teeth: 30, cam_teeth: 60}")
	}
	throttles := "single"
	if g.cyl%2 == 0 {
		throttles = "per-cylinder"
	}
	g.line("  throttles: %s", throttles)
	g.line("  shells: {main: [{class: A, min: 1.990 mm, max: 1.994 mm}, {class: B, min: 1.994 mm, max: 1.998 mm}], pin: [{class: A, min: 1.490 mm, max: 1.495 mm}, {class: B, min: 1.495 mm, max: 1.500 mm}]}")
	g.line("  undersizes: {main: [0.25 mm, 0.50 mm], pin: [0.25 mm, 0.50 mm]}")
	g.line("  oversizes: [0.25 mm, 0.50 mm]")
	g.line("  gaskets: [{id: standard, thickness: 0.90 mm, bore: 85.5 mm}]")
	g.line("  fasteners:")
	g.line("    - {id: head-bolt, name: {en: Head bolts}, thread: M10x1.5, strength: \"10.9\", length: 120 mm, count: %d, method: angle, one_use: true}", g.headBolts())
	g.line("    - {id: cap-bolt, name: {en: Main cap bolts}, thread: M10x1.5, strength: \"10.9\", length: 75 mm, count: %d, method: torque}", 2*mains)
}

func (g *generator) headBolts() int {
	n := 2 * (g.perBank + 1)
	if g.twoBanks {
		n *= 2
	}
	return n
}

// phasers fits none, one or two a bank, by the number of cylinders.
func (g *generator) phasers(shafts int) {
	names := []string{"IN", "EX"}
	switch shafts {
	case 1:
		names = []string{"C"}
	case 4:
		names = []string{"A-IN", "A-EX", "B-IN", "B-EX"}
	}
	step := g.cyl % 3
	if step == 0 || g.drive == "gear" {
		return
	}
	g.line("  phasers:")
	for i := 0; i < len(names); i += step {
		g.line("    - {cam: %s, advance_stop: 40 °cam, retard_stop: 0 °cam}", names[i])
	}
}

// components writes the parts, each with its drawing.
func (g *generator) components() {
	g.line("components:")
	for _, c := range [][5]string{
		{"block", "Block", "block", "grey-iron", "drawing: block"},
		{"liner", "Cylinder", "block", "grey-iron", "per: [cyl], keeps: place, drawing: bore"},
		{"crank", "Crankshaft", "crank", "forged-steel", "drawing: crank"},
		{"rod", "Connecting rod", "rods", "forged-steel", "per: [cyl], keeps: place-and-direction, drawing: rod"},
		{"piston", "Piston", "pistons", "al-4032", "per: [cyl], keeps: place-and-direction, drawing: piston"},
		{"ring", "Piston ring", "pistons", "grey-iron", "per: [cyl, ring], drawing: piston"},
		{"shell-main", "Main bearing shell", "bearings", "steel-backed-shell", "per: [main, half], drawing: crank"},
		{"head", "Head", "head", "al-si", "drawing: face"},
		{"valve", "Valve", "head", "valve-steel", "per: [cyl, valve], keeps: place, drawing: valve"},
		{"cam", "Camshaft", "valvetrain", "hardened-steel", "per: [cam], drawing: cam"},
		{"drive", "Cam drive", "cam-drive", "hardened-steel", "drawing: chain"},
		{"bolt", "Head bolt", "fasteners", "carbon-steel", "per: [head-bolt], drawing: bolts"},
		{"pump", "Oil pump", "lubrication", "sintered-steel", "drawing: section"},
		{"flywheel", "Flywheel", "crank", "carbon-steel", "drawing: section"},
		{"throttle", "Throttle", "intake", "al-si", "per: [cyl], drawing: section"},
	} {
		g.line("  - {id: %s, name: {en: %s}, system: %s, material: %s, %s}", c[0], c[1], c[2], c[3], c[4])
	}
	g.line("dimensions:")
	g.line("  around: {values: [V, A1, A2], name: {en: round the bore}}")
	g.line("  ring: {values: [top, second, oil], name: {en: ring}}")
	g.line("  level: {values: [gauge, lower], name: {en: skirt level}}")
	g.line("  lobe: {count: %d, name: {en: lobe}}", g.lobes())
}

// lobes is the number of lobes on one camshaft.
func (g *generator) lobes() int {
	shafts, _ := g.cams()
	switch shafts {
	case 1:
		return g.cyl * (min(g.inlet, 1) + min(g.exhaust, 1))
	case 4:
		return g.perBank * max(g.inlet, g.exhaust)
	}
	return g.cyl * max(g.inlet, g.exhaust)
}

// size writes a length with three decimals.
func size(x float64) string { return fmt.Sprintf("%.3f mm", x) }
