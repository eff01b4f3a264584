// Package gallery is the test of the pages: every state of every page, from
// real judgement of small and of bad data, rendered and read back as HTML. With
// FETTLE_GALLERY=dir the pages are also written there, to be looked at.
package gallery
