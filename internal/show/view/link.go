package view

import (
	"net/url"
	"strings"
)

// Link is a place to go with its words.
type Link struct {
	Href, Text string
	Current    bool
}

// JobHref is the address of a job's page, or of one below it.
func JobHref(job string, below ...string) string {
	parts := []string{"/job", url.PathEscape(job)}
	for _, b := range below {
		for _, s := range strings.Split(b, "/") {
			parts = append(parts, url.PathEscape(s))
		}
	}
	return strings.Join(parts, "/")
}

// AtHref is the address of one value.
func AtHref(job, position, state string) string {
	h := JobHref(job, "at", position)
	if state != "" && state != "found" {
		h += "?state=" + url.QueryEscape(state)
	}
	return h
}

// FamilyHref is the address of a family's limits.
func FamilyHref(id string) string { return "/family/" + url.PathEscape(id) }
