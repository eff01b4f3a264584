package page

import (
	"html/template"
	"regexp"
)

// index is a letter with what stands below its line: V_s, h_min.
var index = regexp.MustCompile(`([\p{L}\p{M}])_([\p{L}\p{N}]+)`)

// equation sets what stands below the line of a letter there.
func equation(s string) template.HTML {
	return template.HTML(index.ReplaceAllString(template.HTMLEscapeString(s), "$1<sub>$2</sub>"))
}
