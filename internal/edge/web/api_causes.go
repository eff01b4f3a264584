package web

import (
	"context"

	"fettle/internal/judge/cause"
)

type apiWeight struct {
	Sign  string `json:"sign"`
	Name  string `json:"name"`
	There bool   `json:"there" doc:"false: looked for, and not there"`
	Word  string `json:"word" enum:"plain,strong"`
}

type apiCause struct {
	Mode    string      `json:"mode" doc:"none: none of these"`
	Name    string      `json:"name"`
	Before  string      `json:"before_percent" doc:"share by itself"`
	Now     string      `json:"percent" doc:"whole; <1 and >99 at the ends"`
	For     []apiWeight `json:"for"`
	Against []apiWeight `json:"against"`
}

type apiLook struct {
	Sign   string `json:"sign"`
	Look   string `json:"look"`
	Others bool   `json:"others" doc:"it was seen; the other places were not looked at"`
	Bits   string `json:"bits" doc:"expected gain of information"`
}

type apiFound struct {
	Sign     string   `json:"sign"`
	There    bool     `json:"there"`
	Patterns []string `json:"patterns" doc:"how it may lie over the engine; empty: says nothing"`
	Halves   []string `json:"halves"`
	Parts    []string `json:"parts"`
	Open     []string `json:"open" doc:"places that nobody looked at"`
}

type apiArea struct {
	Area   string     `json:"area"`
	Found  []apiFound `json:"found"`
	Causes []apiCause `json:"causes" doc:"most probable first"`
	Next   []apiLook  `json:"next" doc:"what would tell most, first"`
}

type apiCausesOut struct {
	ETag string `header:"ETag"`
	Body struct {
		Verdict string    `json:"verdict" enum:"none" doc:"the guide never gives one"`
		Areas   []apiArea `json:"areas"`
	}
}

// apiCauses is the guide to causes as a program reads it.
func (s *site) apiCauses(ctx context.Context, in *apiJobIn) (*apiCausesOut, error) {
	j, err := s.Bench.Judge(ctx, in.Job)
	if err != nil {
		return nil, s.apiFault(err)
	}
	cat := s.Bench.Library().Failures()
	weights := func(list []cause.Weight) []apiWeight {
		out := []apiWeight{}
		for _, w := range list {
			a := apiWeight{Sign: w.Sign, There: w.There, Word: w.Word}
			if sign, ok := cat.Sign(w.Sign); ok {
				a.Name = sign.Name.In("en")
			}
			out = append(out, a)
		}
		return out
	}
	out := &apiCausesOut{ETag: `"` + j.Mark() + `"`}
	out.Body.Verdict, out.Body.Areas = "none", []apiArea{}
	for _, a := range s.caseOf(in.Job, j).Guide().Areas {
		area := apiArea{Area: a.Area, Found: []apiFound{}, Causes: []apiCause{}, Next: []apiLook{}}
		for _, f := range a.Found {
			area.Found = append(area.Found, apiFound{f.Sign, f.There, full(f.Patterns), full(f.Halves), full(f.Parts), full(f.Open)})
		}
		for _, c := range a.Causes {
			k := apiCause{Mode: c.Mode, Name: "none of these", Before: c.Before, Now: c.Percent, For: weights(c.For), Against: weights(c.Against)}
			if m, ok := cat.Mode(c.Mode); ok {
				k.Name = m.Name.In("en")
			}
			area.Causes = append(area.Causes, k)
		}
		for _, n := range a.Next {
			k := apiLook{Sign: n.Sign, Others: n.Others, Bits: n.Bits}
			if sign, ok := cat.Sign(n.Sign); ok {
				k.Look = sign.Look.In("en")
			}
			area.Next = append(area.Next, k)
		}
		out.Body.Areas = append(out.Body.Areas, area)
	}
	return out, nil
}

// full is a list that is never null.
func full(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}
