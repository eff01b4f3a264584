package familytest

import (
	"fmt"
	"strings"
)

// measured writes a length that is measured, with limits about its nominal.
func (g *generator) measured(id, name, per, gauge string, nominal, under, over float64, more ...string) {
	g.line("  - {id: %s, name: {en: \"%s\"}, per: %s, quantity: length, unit: mm, decimals: 3, gauges: [%s], nominal: %s%s,", id, name, per, gauge, size(nominal), extra(more))
	g.line("     limits: [{for: new, min: %s, max: %s, source: invented-demo, status: invented for the demo}, {for: reuse, min: %s, max: %s, source: invented-demo, status: invented for the demo}]}",
		size(nominal-under), size(nominal+over), size(nominal-1.5*under), size(nominal+1.5*over))
}

// most writes a derived length that may not be larger than its limits.
func (g *generator) most(id, name, per, relation, bind string, limit float64) {
	g.line("  - {id: %s, name: {en: \"%s\"}, per: %s, quantity: length, unit: mm, decimals: 3, relation: %s, bind: {%s}, wears: up,", id, name, per, relation, bind)
	g.line("     limits: [{for: new, max: %s, source: invented-demo, status: invented for the demo}, {for: reuse, max: %s, source: invented-demo, status: invented for the demo}]}", size(limit), size(1.5*limit))
}

// between writes a derived length with both limits.
func (g *generator) between(id, name, per, relation, bind string, lo, hi float64) {
	g.line("  - {id: %s, name: {en: \"%s\"}, per: %s, quantity: length, unit: mm, decimals: 3, relation: %s, bind: {%s},", id, name, per, relation, bind)
	g.line("     limits: [{for: new, min: %s, max: %s, source: invented-demo, status: invented for the demo}, {for: reuse, min: %s, max: %s, source: invented-demo, status: invented for the demo}]}",
		size(lo), size(hi), size(lo*0.9), size(hi*1.2))
}

func extra(more []string) string {
	if len(more) == 0 {
		return ""
	}
	return ", " + strings.Join(more, ", ")
}

func (g *generator) block() {
	g.measured("block/bore", "Bore diameter", "[cyl, height, axis]", "bore-gauge", 84, .015, .015, "wears: up", "target: bore")
	g.most("block/bore-out-of-round", "Bore out of round", "[cyl, height]", "out-of-round", "d: {from: block/bore}", .010)
	g.most("block/bore-taper", "Bore taper", "[cyl, axis]", "taper", "d: {from: block/bore}", .012)
	g.measured("liner/stand", "Height of the cylinder's top over the deck", "[cyl]", "depth-micrometer", 0.050, .020, .020)
	g.measured("liner/wall", "Wall at a height", "[cyl, height]", "ultrasonic-wall", 5.5, .5, .5)
	if g.perBank > 1 {
		g.between("block/bridge", "Bridge between bores", "[bridge]", "bridge", "spacing: {from: engine/bore-spacing}, bore: {from: block/bore, where: {height: [H1]}}", 7.5, 8.4)
		g.between("block/bridge-step", "Deck at the bridge", "[bridge]", "bridge-step", "centre: {from: block/deck-z, where: {face: [centre]}}, edge: {from: block/deck-z, where: {face: [edge]}}", -.015, .015)
	}
	g.measured("block/deck-z", "Deck height over the plate", g.bankPattern("face"), "plate-dial", 0, .030, .030)
	g.most("block/deck-flatness", "Deck flatness", g.bankPattern(""), "flatness", "z: {from: block/deck-z}, x: {from: face/x}, y: {from: face/y}", .030)
	g.measured("block/deck-height", "Deck height from the main axis", "[cyl]", "height-gauge", 217.5, .05, .05)
	g.measured("block/tunnel", "Main housing diameter", "[main, around]", "bore-gauge", 62, .013, .013)
	g.line("  - {id: block/head-thread, name: {en: Head bolt hole clean}, per: [head-bolt], quantity: check, limits: [{for: new, must: pass, source: invented-demo, status: invented for the demo}]}")
}

func (g *generator) bottom() {
	for _, j := range [][2]string{{"main", "58.000"}, {"pin", "48.000"}} {
		d := map[string]float64{"main": 58, "pin": 48}[j[0]]
		g.measured("crank/"+j[0]+"-journal", "Journal diameter, "+j[0], "["+j[0]+", plane, axis]", "micrometer", d, .010, .010, "wears: down", "target: "+j[0])
		g.most("crank/"+j[0]+"-out-of-round", "Journal out of round, "+j[0], "["+j[0]+", plane]", "out-of-round", "d: {from: crank/"+j[0]+"-journal}", .008)
		g.most("crank/"+j[0]+"-taper", "Journal taper, "+j[0], "["+j[0]+", axis]", "taper", "d: {from: crank/"+j[0]+"-journal}", .008)
	}
	g.measured("crank/run-out", "Run-out", "[main]", "dial-indicator", .008, .008, .017)
	g.measured("crank/end-float", "End float", "[]", "dial-indicator", .130, .060, .060)
	g.measured("rod/big-end", "Big end housing", "[cyl, around]", "bore-gauge", 51, .008, .008)
	g.measured("rod/small-end", "Small end", "[cyl, axis]", "small-bore-gauge", 21.010, .006, .006)
	g.measured("rod/side-float", "Side float", "[cyl]", "feeler", .25, .1, .1)
	g.measured("piston/skirt", "Skirt diameter", "[cyl, level]", "micrometer", 83.955, .014, .014, "wears: down")
	g.between("piston/clearance", "Piston clearance", "[cyl]", "clearance", "hole: {from: block/bore, where: {height: [H2], axis: [T]}}, shaft: {from: piston/skirt, where: {level: [gauge]}}", .025, .065)
	g.measured("ring/gap", "Ring gap", "[cyl, ring]", "feeler", .40, .10, .20)
	g.measured("shell-main/wall", "Shell wall", "[main, half]", "ball-micrometer", 1.994, .004, .004, "wears: down")
	g.between("shell-main/oil-clearance", "Main oil clearance", "[main]", "oil-clearance",
		"housing: {from: block/tunnel, where: {around: [V]}}, upper: {from: shell-main/wall, where: {half: [upper]}}, lower: {from: shell-main/wall, where: {half: [lower]}}, journal: {from: crank/main-journal}", .010, .040)
}

func (g *generator) top() {
	g.measured("head/z", "Face height over the plate", g.bankPattern("face"), "plate-dial", 0, .030, .030)
	g.most("head/flatness", "Face flatness", g.bankPattern(""), "flatness", "z: {from: head/z}, x: {from: face/x}, y: {from: face/y}", .030)
	g.measured("valve/stem", "Stem diameter", "[cyl, valve]", "micrometer", 5.970, .008, .008, "wears: down")
	g.measured("valve/guide", "Guide bore", "[cyl, valve, axis]", "small-bore-gauge", 6.005, .008, .008, "wears: up")
	g.between("valve/stem-clearance", "Stem clearance", "[cyl, valve]", "clearance", "hole: {from: valve/guide}, shaft: {from: valve/stem}", .020, .055)
	g.measured("valve/lash", "Lash", "[cyl, valve]", "feeler", .25, .05, .05)
	g.measured("cam/journal", "Cam journal", "[cam, cam-journal]", "micrometer", 26, .012, .012, "wears: down")
	g.measured("cam/lobe", "Lobe height", "[cam, lobe]", "micrometer", 41.2, .05, .05, "wears: down")
	g.volume("head/chamber", "Chamber volume", "42.0")
	g.volume("piston/crown-volume", "Crown volume", "3.0")
	g.derivedVolume("block/swept", "Swept volume", "swept-volume", "bore: {from: block/bore}, stroke: {from: engine/stroke}", "450.0", "500.0")
	g.derivedVolume("head/clearance-volume", "Clearance volume", "clearance-volume",
		"chamber: {from: head/chamber}, gasket: {from: 5.2 cm³}, deck: {from: 1.0 cm³}, crown: {from: piston/crown-volume}, crevice: {from: 0.6 cm³}", "40.0", "62.0")
	g.line("  - {id: head/compression-ratio, name: {en: Compression ratio}, per: [cyl], quantity: number, unit: \"1\", decimals: 2, relation: compression-ratio, bind: {swept: {from: block/swept}, clearance: {from: head/clearance-volume}},")
	g.line("     limits: [{for: reuse, min: 8.00 1, max: 14.00 1, source: invented-demo, status: invented for the demo}]}")
}

func (g *generator) volume(id, name, nominal string) {
	g.line("  - {id: %s, name: {en: %s}, per: [cyl], quantity: volume, unit: cm³, decimals: 1, gauges: [burette], nominal: %s cm³,", id, name, nominal)
	g.line("     limits: [{for: reuse, min: 0.5 cm³, max: 60.0 cm³, source: invented-demo, status: invented for the demo}]}")
}

func (g *generator) derivedVolume(id, name, relation, bind, lo, hi string) {
	g.line("  - {id: %s, name: {en: %s}, per: [cyl], quantity: volume, unit: cm³, decimals: 1, relation: %s, bind: {%s},", id, name, relation, bind)
	g.line("     limits: [{for: reuse, min: %s cm³, max: %s cm³, source: invented-demo, status: invented for the demo}]}", lo, hi)
}

func (g *generator) rest() {
	if g.drive == "chain" {
		g.measured("drive/length", "Length of sixteen pitches", "[]", "caliper", 128, .1, .4, "wears: up")
		g.line("  - {id: drive/elongation, name: {en: Chain elongation}, quantity: number, unit: \"%%\", decimals: 2, relation: elongation, bind: {length: {from: drive/length}, pitch: {from: engine/chain-pitch}, count: {from: \"16 1\"}}, wears: up,")
		g.line("     limits: [{for: reuse, max: 0.50 %%, source: invented-demo, status: invented for the demo}]}")
	}
	g.measured("drive/guide", "Groove in the guide", "[]", "depth-micrometer", .2, .2, .4, "wears: up")
	if _, n := g.cams(); n > 0 && g.cyl%3 != 0 && g.drive != "gear" {
		g.measured("drive/phaser-play", "Play in the phaser hub", "[phaser]", "dial-indicator", .05, .04, .10, "wears: up")
	}
	g.measured("bolt/length", "Free length", "[head-bolt]", "caliper", 120, .1, .4, "wears: up")
	g.measured("pump/tip", "Tip clearance", "[]", "feeler", .10, .04, .05, "wears: up")
	g.measured("flywheel/run-out", "Face run-out", "[]", "dial-indicator", .03, .03, .05)
	g.line("  - {id: throttle/play, name: {en: Shaft play}, per: [cyl], quantity: length, unit: mm, decimals: 3, gauges: [dial-indicator], nominal: 0.040 mm,")
	g.line("     limits: [{for: reuse, max: %s, source: invented-demo, status: invented for the demo}]}", fmt.Sprintf("%.3f mm", .120))
}
