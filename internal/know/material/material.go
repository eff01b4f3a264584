// Package material is what a shop knows of materials: how they grow with
// temperature and which treatment destroys them.
package material

import (
	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/know/words"
)

// File is data/materials.yaml.
type File struct {
	Format    string     `json:"fettle" jsonschema:"enum=materials/1"`
	Materials []Material `json:"materials" jsonschema:"minItems=1"`
}

// Material is one entry.
type Material struct {
	ID         string        `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name       words.Text    `json:"name"`
	Expansion  unit.Quantity `json:"expansion" dim:"expansion"`
	HalfWidth  unit.Quantity `json:"half_width" dim:"expansion" jsonschema:"description=half the width of a rectangular distribution of the coefficient"`
	Modulus    unit.Quantity `json:"modulus,omitzero" dim:"pressure"`
	HotCaustic string        `json:"hot_caustic" jsonschema:"enum=allowed,enum=destroys"`
	Source     cite.Key      `json:"source"`
	Status     cite.Status   `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}
