package job

import (
	"encoding/hex"

	"fettle/internal/facts/entry"
)

// photograph keeps a photo. It names three files and one thing that it is of.
func (s *State) photograph(r *entry.Row, l *Line) bool {
	var p PhotoV1
	if !decode(r.Payload, &p) {
		return false
	}
	of := 0
	for _, about := range []string{p.Position, p.Part, p.Finding} {
		if about != "" {
			of++
			l.About = about
		}
	}
	l.Text = p.Words
	if of != 1 || p.At != "" && p.Part == "" || !digest(p.Original) || !digest(p.Shown) || !digest(p.Small) || p.Width < 1 || p.Height < 1 {
		return false
	}
	s.Photos = append(s.Photos, Photographed{p, r.Key.String(), r.Person, r.Time})
	l.Photo = len(s.Photos)
	return true
}

// digest reports a SHA-256 in small hexadecimal digits.
func digest(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(b) == 32 && hex.EncodeToString(b) == s
}
