package web

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"fettle/internal/base/fault"
	"fettle/internal/judge/compute"
)

// mostInput bounds the input of a computation, as on the command line.
const mostInput = 1 << 20

// apiComputes puts the computations by name beside the jobs. They read nothing
// of a job and write nothing: the same input has the same answer for ever.
func (s *site) apiComputes(api huma.API) {
	huma.Register(api, huma.Operation{OperationID: "computations", Method: http.MethodGet, Path: "/api/v1/compute",
		Summary: "All computations by name"}, s.apiComputeList)
	huma.Register(api, huma.Operation{OperationID: "computation", Method: http.MethodGet, Path: "/api/v1/compute/{name}",
		Summary: "JSON Schema of one computation's input, with that of its output under $defs; with example=true an input that it takes",
		Errors:  []int{http.StatusNotFound}}, s.apiComputeSchema)
	huma.Register(api, huma.Operation{OperationID: "compute", Method: http.MethodPost, Path: "/api/v1/compute/{name}",
		Summary:      "Run one computation",
		Description:  "The body is the input that its schema describes; values are decimal texts with a unit. Every mistake is told, each with the member it belongs to.",
		MaxBodyBytes: mostInput + 1, SkipValidateBody: true,
		RequestBody: &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{"application/json": {Schema: &huma.Schema{Type: huma.TypeObject}}}},
		Errors:      []int{http.StatusNotFound, http.StatusRequestEntityTooLarge, http.StatusUnprocessableEntity}}, s.apiCompute)
}

type apiComputation struct {
	Name     string `json:"name"`
	Equation string `json:"equation,omitempty"`
	What     string `json:"what,omitempty"`
	Source   string `json:"source"`
}

type apiComputeListOut struct {
	Body struct {
		Computations []apiComputation `json:"computations"`
	}
}

func (s *site) apiComputeList(context.Context, *struct{}) (*apiComputeListOut, error) {
	out := &apiComputeListOut{}
	for _, e := range compute.Entries() {
		c := apiComputation{Name: e.Name, Equation: e.Equation, Source: string(e.Source)}
		if e.What != "" {
			c.What = s.english().Book.Say(e.What)
		}
		out.Body.Computations = append(out.Body.Computations, c)
	}
	return out, nil
}

type apiComputeSchemaIn struct {
	Name    string `path:"name" maxLength:"64" example:"clearance"`
	Example bool   `query:"example" doc:"an input that it takes, instead of the schema"`
}

type apiComputeSchemaOut struct {
	Type string `header:"Content-Type"`
	Body []byte
}

func (s *site) apiComputeSchema(_ context.Context, in *apiComputeSchemaIn) (*apiComputeSchemaOut, error) {
	e, err := s.computation(in.Name)
	if err != nil {
		return nil, err
	}
	if in.Example {
		return &apiComputeSchemaOut{"application/json", e.Example()}, nil
	}
	return &apiComputeSchemaOut{"application/schema+json", e.Schema()}, nil
}

func (s *site) computation(name string) (compute.Entry, error) {
	e, ok := compute.Lookup(name)
	if !ok {
		return e, s.apiFault(fault.New(fault.Missing, "api.no-computation", "found", clip(name)))
	}
	return e, nil
}

type apiComputeIn struct {
	Name    string `path:"name" maxLength:"64" example:"clearance"`
	RawBody []byte `contentType:"application/json"`
}

// apiComputeOut is a budget's result or a procedure's figures; the schema of the
// computation says which and how.
type apiComputeOut struct{ Body any }

func (s *site) apiCompute(_ context.Context, in *apiComputeIn) (*apiComputeOut, error) {
	e, err := s.computation(in.Name)
	if err != nil {
		return nil, err
	}
	if len(in.RawBody) > mostInput {
		return nil, s.apiFault(fault.New(fault.TooLarge, "file.too-large", "most", "1 MiB"))
	}
	answer, err := e.Run(in.RawBody)
	if err != nil {
		var list fault.List
		for _, f := range fault.All(err) {
			list = append(list, f.At("body", max(f.Line, 1), max(f.Col, 1)))
		}
		return nil, s.apiFault(list)
	}
	return &apiComputeOut{answer}, nil
}
