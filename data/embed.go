// Package data holds the knowledge files and the demo, embedded. Only cmd
// imports it; everything else is handed bytes.
package data

import "embed"

// FS is the folder as it stood when the program was built.
//
//go:embed *
var FS embed.FS
