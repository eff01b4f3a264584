// Package running is what a shop knows of a kind of engine as it runs: masses,
// bearings, cams, the burn, the oil. No limit and no verdict leans on it, so it
// stands in a file of its own beside the family and is no part of its digest.
package running

import (
	"fmt"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/file"
	"fettle/internal/know/words"
)

// File is data/running/ID.yaml; its id is that of the family.
type File struct {
	Format  string      `json:"fettle" jsonschema:"enum=running/1"`
	Family  string      `json:"family" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Note    words.Text  `json:"note,omitempty"`
	Source  cite.Key    `json:"source"`
	Status  cite.Status `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
	Idle    Speed       `json:"idle" jsonschema:"description=hot idle"`
	Track   Speed       `json:"track" jsonschema:"description=the speed and oil temperature at which bearings are compared"`
	Rod     Rod         `json:"rod"`
	Piston  Piston      `json:"piston"`
	Crank   Crank       `json:"crank"`
	Main    Bearing     `json:"main"`
	Pin     Bearing     `json:"pin,omitzero" jsonschema:"description=left out for rollers"`
	Inlet   Cam         `json:"inlet"`
	Exhaust Cam         `json:"exhaust"`
	Charge  Charge      `json:"charge"`
	Burn    Burn        `json:"burn"`
	Walls   Walls       `json:"walls"`
	Oil     Oil         `json:"oil"`
	Faces   Faces       `json:"faces" jsonschema:"description=what a cut of head or deck moves"`
	Lived   []Build     `json:"lived,omitempty" jsonschema:"description=builds that are known to have lived, with which others are compared"`
}

// Speed is a state of running.
type Speed struct {
	Speed    unit.Quantity `json:"speed" dim:"rotation"`
	Oil      unit.Quantity `json:"oil" dim:"temperature" jsonschema:"description=of the oil that enters the bearings"`
	Pressure unit.Quantity `json:"pressure" dim:"pressure" jsonschema:"description=gauge pressure in the main gallery that is usual there"`
}

// Rod is what the family's masses at both ends leave open.
type Rod struct {
	Gyration unit.Quantity `json:"gyration" dim:"length" jsonschema:"description=radius of gyration about the rod's centre of mass"`
}

// Piston is what the family leaves open.
type Piston struct {
	Offset unit.Quantity `json:"pin_offset" dim:"length" jsonschema:"description=of the pin axis from the bore axis towards the thrust side"`
}

// Crank is the shaft as a thing that turns and bends.
type Crank struct {
	Unbalance unit.Quantity `json:"unbalance" dim:"mass" jsonschema:"description=of one throw without rods at the crankpin's radius; below nought where counterweights outweigh it"`
	Bending   unit.Quantity `json:"bending_diameter" dim:"length" jsonschema:"description=diameter of a plain round shaft that bends as one throw does between two mains"`
}

// Bearing is one kind of plain bearing.
type Bearing struct {
	Width       unit.Quantity `json:"width" dim:"length" jsonschema:"description=of the running face of the shell, groove included"`
	Groove      string        `json:"groove" jsonschema:"enum=none,enum=upper,enum=full"`
	GrooveWidth unit.Quantity `json:"groove_width,omitzero" dim:"length"`
	Hole        unit.Quantity `json:"hole" dim:"length" jsonschema:"description=diameter of the oil hole"`
	ShellRa     unit.Quantity `json:"shell_ra" dim:"length" jsonschema:"description=Ra of the run-in shell"`
}

// Cam is the valve's motion at the speed at which bearings are compared.
type Cam struct {
	Centre   unit.Quantity `json:"centre" dim:"angle" jsonschema:"description=lobe centre from the dead centre between exhaust and inlet, at the crank; exhaust before it, inlet after it"`
	Duration unit.Quantity `json:"duration" dim:"angle" jsonschema:"description=of the opening at the crank, lash taken up"`
	Flow     unit.Quantity `json:"discharge" dim:"number" jsonschema:"description=discharge coefficient of the valve"`
}

// Charge is what stands before the inlet valve and behind the exhaust valve.
type Charge struct {
	Pressure    unit.Quantity `json:"pressure" dim:"pressure" jsonschema:"description=absolute"`
	Temperature unit.Quantity `json:"temperature" dim:"temperature"`
	Back        unit.Quantity `json:"back_pressure" dim:"pressure" jsonschema:"description=absolute, at the exhaust"`
	Octane      unit.Quantity `json:"octane" dim:"number" jsonschema:"description=of the fuel, RON"`
	Lambda      unit.Quantity `json:"lambda" dim:"number"`
}

// Burn is the heat release at full load.
type Burn struct {
	Start    unit.Quantity `json:"start" dim:"angle" jsonschema:"description=before firing dead centre"`
	Duration unit.Quantity `json:"duration" dim:"angle"`
}

// Walls are mean surface temperatures.
type Walls struct {
	Piston unit.Quantity `json:"piston" dim:"temperature"`
	Head   unit.Quantity `json:"head" dim:"temperature"`
	Liner  unit.Quantity `json:"liner" dim:"temperature"`
}

// Oil is the oil and the way it goes.
type Oil struct {
	Usual    string   `json:"usual" jsonschema:"description=id of a lubricant"`
	Compared []string `json:"compared,omitempty" jsonschema:"maxItems=8,description=oils that clearances are tried with"`
	Pump     Pump     `json:"pump"`
	Relief   Relief   `json:"relief"`
	Users    []Users  `json:"users,omitempty"`
}

// Pump is the oil pump.
type Pump struct {
	Displacement unit.Quantity `json:"displacement" dim:"volume" jsonschema:"description=of one turn of the pump"`
	Ratio        unit.Quantity `json:"ratio" dim:"number" jsonschema:"description=turns of the pump for one of the crank"`
	Fill         unit.Quantity `json:"filling" dim:"number" jsonschema:"description=volumetric filling without back pressure"`
	Slip         unit.Quantity `json:"slip" dim:"flow" jsonschema:"description=leakage of the sound pump at the relief pressure with the usual oil at the track temperature"`
}

// Relief is the relief valve.
type Relief struct {
	Opens unit.Quantity `json:"opens" dim:"pressure"`
	Full  unit.Quantity `json:"full" dim:"pressure" jsonschema:"description=gallery pressure with all of the pump's flow over the valve"`
}

// Users are alike holes that the oil leaves through beside the bearings.
type Users struct {
	Kind  string        `json:"kind" jsonschema:"enum=jet,enum=phaser,enum=cam,enum=tensioner,enum=other"`
	Name  words.Text    `json:"name"`
	Count int           `json:"count" jsonschema:"minimum=1,maximum=200"`
	Bore  unit.Quantity `json:"bore" dim:"length" jsonschema:"description=diameter of the orifice that lets as much through"`
	Opens unit.Quantity `json:"opens,omitzero" dim:"pressure" jsonschema:"description=pressure below which it is shut"`
}

// Faces is the geometry about the joint of head and block, as drawn.
type Faces struct {
	Chamber unit.Quantity `json:"chamber_area" dim:"area" jsonschema:"description=open area of one chamber in the head's face"`
	Centres unit.Quantity `json:"centres,omitzero" dim:"length" jsonschema:"description=crank to driven cam wheel, for a drive that a cut shortens"`
	Rail    unit.Quantity `json:"rail,omitzero" dim:"angle" jsonschema:"description=half the turn of the slack run at its rail"`
	Inlet   Reach         `json:"inlet"`
	Exhaust Reach         `json:"exhaust"`
}

// Reach is how near a valve comes to its piston, at the worse end stop.
type Reach struct {
	Angle unit.Quantity `json:"angle" dim:"angle" jsonschema:"description=of the valve to the cylinder"`
	Gap   unit.Quantity `json:"gap" dim:"length" jsonschema:"description=least distance along the valve, as drawn"`
	Rise  unit.Quantity `json:"rise" dim:"length" jsonschema:"description=lift in one degree of the crank where it is nearest"`
	Least unit.Quantity `json:"least" dim:"length" jsonschema:"description=distance that has to be left"`
}

// Build is clearances with an oil that are known to have lived.
type Build struct {
	ID        string        `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name      words.Text    `json:"name"`
	Main      unit.Quantity `json:"main" dim:"length" jsonschema:"description=diametral clearance"`
	Pin       unit.Quantity `json:"pin,omitzero" dim:"length"`
	Lubricant string        `json:"lubricant"`
}

// Schema is the JSON Schema of a running file.
func Schema() []byte { return file.Schema(&File{}, "running-1.json", "fettle running, version 1") }

// Known says which names a file may lean on; nil is not asked.
type Known struct {
	Source    func(id string) bool
	Lubricant func(id string) bool
}

// Read parses a file and holds it against what is known. Every problem is
// reported, each with line and column.
func Read(name string, text []byte, k Known) (*File, fault.List) {
	f, doc, faults := file.Read[File](name, text, file.Compile(Schema()))
	if len(faults) > 0 {
		return nil, faults
	}
	say := func(path, key string, pairs ...string) { faults = append(faults, doc.Fault(path, key, pairs...)) }
	if !k.Source(string(f.Source)) {
		say("source", "family.unknown-source", "found", string(f.Source))
	}
	if k.Lubricant != nil && !k.Lubricant(f.Oil.Usual) {
		say("oil.usual", "running.unknown-lubricant", "found", f.Oil.Usual)
	}
	for i, b := range f.Lived {
		if k.Lubricant != nil && !k.Lubricant(b.Lubricant) {
			say(fmt.Sprintf("lived[%d].lubricant", i), "running.unknown-lubricant", "found", b.Lubricant)
		}
	}
	for i, id := range f.Oil.Compared {
		if k.Lubricant != nil && !k.Lubricant(id) {
			say(fmt.Sprintf("oil.compared[%d]", i), "running.unknown-lubricant", "found", id)
		}
	}
	f.bounds(say)
	faults.Sort()
	if len(faults) > 0 {
		return nil, faults
	}
	return &f, nil
}
