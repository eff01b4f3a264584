// Package source is the list of publications, tables and practices that values
// in knowledge files come from.
package source

import (
	"fettle/internal/base/cite"
	"fettle/internal/know/words"
)

// File is data/sources.yaml.
type File struct {
	Format  string   `json:"fettle" jsonschema:"enum=sources/1"`
	Sources []Source `json:"sources" jsonschema:"minItems=1"`
}

// Source is one entry.
type Source struct {
	ID    cite.Key   `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Title string     `json:"title"`
	Kind  string     `json:"kind" jsonschema:"enum=standard,enum=guide,enum=book,enum=paper,enum=trade,enum=practice,enum=invented"`
	Place string     `json:"place,omitempty" jsonschema:"description=clause, page or table"`
	Seen  string     `json:"seen" jsonschema:"enum=read,enum=excerpt,enum=from memory,enum=own"`
	Note  words.Text `json:"note,omitempty"`
}
