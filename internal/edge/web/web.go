// Package web serves the pages and the API of one workshop over HTTP. It asks
// the bench, hands what it gets to the views, and writes their pages; it
// decides nothing.
package web

import (
	"crypto/rand"
	"errors"
	"io"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/klauspost/compress/gzhttp"

	"fettle/internal/edge/bench"
	"fettle/internal/edge/door"
	"fettle/internal/show/page"
	"fettle/internal/show/view"
)

// Config is what a site needs.
type Config struct {
	Bench *bench.Bench
	Hosts []string // names it answers to besides the loopback ones, without port
	// Answers says whether it answers to a further name or address; nil is none.
	Answers func(host string) bool
	// Door says who may come in; nil lets everybody in, as it does before there
	// is an owner.
	Door *door.Door
	// Trust is how it is served beyond this machine; nil where it is not.
	Trust   *Trust
	Lang    string         // of readers who have set none; "" is English
	Zone    *time.Location // of the shop; nil is UTC
	Random  io.Reader      // for keys; nil is the system's
	Program string         // name and version, as the API's description has it
	// Record sets the build record; nil says that this program has none.
	Record func(c *view.Case, r view.Reader) ([]byte, error)
	// Failed is told of what no reader can mend; nil is silent.
	Failed func(error)
}

// site is a running site.
type site struct {
	Config
	pages  *page.Pages
	inner  http.Handler // behind the door
	mu     sync.Mutex   // guards cases
	cases  map[string]cased
	kept   kept
	sheets sync.Pool // buffers that pages are rendered into
	zips   sync.Pool // writers that press them

	scripts scripted
	streams atomic.Int64 // that are open
}

// cased is a view's case of the judgement it was made of.
type cased struct {
	of   *bench.Judged
	view *view.Case
}

// New makes the site's handler.
func New(c Config) (http.Handler, error) {
	if c.Bench == nil {
		return nil, errors.New("web: no bench")
	}
	if c.Random == nil {
		c.Random = rand.Reader
	}
	if c.Lang == "" {
		c.Lang = "en"
	}
	pages, err := page.New(c.Bench.Library().Words)
	if err != nil {
		return nil, err
	}
	s := &site{Config: c, pages: pages, cases: map[string]cased{}}
	if s.scripts, err = newScripts(pages.Version()); err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	s.routes(mux)
	s.api(mux)
	zip, err := gzhttp.NewWrapper(gzhttp.MinSize(1024), gzhttp.CompressionLevel(1))
	if err != nil {
		return nil, err
	}
	top := http.NewServeMux()
	top.HandleFunc("GET /job/{job}/live", s.live) // a stream is not pressed
	top.Handle("/", zip(mux))
	s.inner = top
	return s.guard(s.admit(s.inner)), nil
}

// routes are the pages. Patterns stand here and nowhere else.
func (s *site) routes(mux *http.ServeMux) {
	mux.HandleFunc("GET /{$}", s.page(s.shop))
	mux.HandleFunc("GET /open", s.page(s.openForm))
	mux.HandleFunc("POST /open", s.page(s.open))
	mux.HandleFunc("GET /job/{job}", s.page(s.job))
	mux.HandleFunc("GET /job/{job}/part/{component}", s.page(s.part))
	mux.HandleFunc("POST /job/{job}/part/{component}", s.page(s.observe))
	mux.HandleFunc("GET /job/{job}/at/{position...}", s.page(s.value))
	mux.HandleFunc("POST /job/{job}/at/{position...}", s.page(s.read))
	mux.HandleFunc("GET /job/{job}/correct/{key}", s.page(s.amendForm(false)))
	mux.HandleFunc("POST /job/{job}/correct/{key}", s.page(s.correct))
	mux.HandleFunc("GET /job/{job}/withdraw/{key}", s.page(s.amendForm(true)))
	mux.HandleFunc("POST /job/{job}/withdraw/{key}", s.page(s.withdraw))
	mux.HandleFunc("GET /job/{job}/bench", s.page(s.benchStart))
	mux.HandleFunc("POST /job/{job}/bench", s.data(s.enter))
	mux.HandleFunc("GET /job/{job}/bench/{component}", s.page(s.benchPage))
	mux.HandleFunc("GET /job/{job}/bench/{component}/sheet", s.data(s.benchSheet))
	mux.HandleFunc("POST /job/{job}/bench/{component}/order", s.data(s.reorder))
	mux.HandleFunc("GET /job/{job}/findings", s.page(s.arrivalForm(findingsPage)))
	mux.HandleFunc("POST /job/{job}/findings", s.page(s.arrivalPost(findingsPage)))
	mux.HandleFunc("GET /job/{job}/questions", s.page(s.questions))
	mux.HandleFunc("GET /job/{job}/targets", s.page(s.targets))
	mux.HandleFunc("GET /job/{job}/plan", s.page(s.plan))
	mux.HandleFunc("GET /job/{job}/plan.json", s.page(s.planJSON))
	mux.HandleFunc("GET /job/{job}/options", s.page(s.arrivalForm(optionsPage)))
	mux.HandleFunc("POST /job/{job}/options", s.page(s.arrivalPost(optionsPage)))
	mux.HandleFunc("GET /job/{job}/money", s.page(s.arrivalForm(moneyPage)))
	mux.HandleFunc("POST /job/{job}/money", s.page(s.arrivalPost(moneyPage)))
	mux.HandleFunc("GET /job/{job}/quote.pdf", s.page(s.draftQuote))
	mux.HandleFunc("GET /job/{job}/quote/{digest}/{form}", s.page(s.issuedQuote))
	mux.HandleFunc("GET /job/{job}/photo", s.page(s.photoForm))
	mux.HandleFunc("POST /job/{job}/photo", s.page(s.addPhoto))
	mux.HandleFunc("GET /job/{job}/photo/{key}", s.page(s.photo))
	mux.HandleFunc("POST /job/{job}/photo/{key}", s.page(s.original))
	mux.HandleFunc("GET /photo/{digest}", s.picture)
	mux.HandleFunc("GET /job/{job}/causes", s.page(s.causes))
	mux.HandleFunc("GET /job/{job}/consequences", s.page(s.consequences))
	mux.HandleFunc("GET /job/{job}/running", s.page(s.running))
	mux.HandleFunc("GET /job/{job}/log", s.page(s.log))
	mux.HandleFunc("GET /job/{job}/intake", s.page(s.arrivalForm(intakePage)))
	mux.HandleFunc("POST /job/{job}/intake", s.page(s.arrivalPost(intakePage)))
	mux.HandleFunc("GET /job/{job}/strip", s.page(s.arrivalForm(stripPage)))
	mux.HandleFunc("POST /job/{job}/strip", s.page(s.arrivalPost(stripPage)))
	mux.HandleFunc("GET /job/{job}/clean", s.page(s.arrivalForm(cleanPage)))
	mux.HandleFunc("POST /job/{job}/clean", s.page(s.arrivalPost(cleanPage)))
	mux.HandleFunc("GET /job/{job}/clean/{component}", s.page(s.arrivalForm(cleanPartPage)))
	mux.HandleFunc("POST /job/{job}/clean/{component}", s.page(s.arrivalPost(cleanPartPage)))
	mux.HandleFunc("GET /job/{job}/work", s.page(s.arrivalForm(workPage)))
	mux.HandleFunc("POST /job/{job}/work", s.page(s.arrivalPost(workPage)))
	mux.HandleFunc("GET /job/{job}/ticket/{stage}", s.page(s.ticket))
	mux.HandleFunc("GET /job/{job}/ticket/{stage}/sheet.pdf", s.page(s.ticketSheet))
	mux.HandleFunc("GET /shelf", s.page(s.shelf))
	mux.HandleFunc("POST /shelf", s.page(s.shelve))
	mux.HandleFunc("GET /shelf/{lot}", s.page(s.lot))
	mux.HandleFunc("POST /shelf/{lot}", s.page(s.stockLot))
	mux.HandleFunc("GET /job/{job}/parts", s.page(s.parts))
	mux.HandleFunc("POST /job/{job}/parts", s.page(s.arrivalPost(partsPage)))
	mux.HandleFunc("GET /job/{job}/paper.pdf", s.page(s.paper))
	mux.HandleFunc("GET /job/{job}/transcribe/{component}", s.page(s.arrivalForm(transcribePage)))
	mux.HandleFunc("POST /job/{job}/transcribe/{component}", s.page(s.arrivalPost(transcribePage)))
	mux.HandleFunc("GET /job/{job}/find", s.page(s.find))
	mux.HandleFunc("GET /l/{job}/{label}", s.page(s.find))
	mux.HandleFunc("GET /job/{job}/labels.pdf", s.page(s.labels))
	mux.HandleFunc("GET /job/{job}/record.pdf", s.page(s.record))
	mux.HandleFunc("GET /job/{job}/assessment.json", s.page(s.assessment))
	mux.HandleFunc("GET /gauges", s.page(s.gauges))
	mux.HandleFunc("GET /machines", s.page(s.machines))
	mux.HandleFunc("POST /machines", s.page(s.equip))
	mux.HandleFunc("GET /gauge/{gauge}", s.page(s.gauge))
	mux.HandleFunc("POST /gauge/{gauge}", s.page(s.check))
	mux.HandleFunc("GET /gauge/{gauge}/calibration", s.page(s.gauge))
	mux.HandleFunc("POST /gauge/{gauge}/calibration", s.page(s.calibration))
	mux.HandleFunc("GET /gauge/{gauge}/certificate", s.page(s.gauge))
	mux.HandleFunc("POST /gauge/{gauge}/certificate", s.page(s.certificate))
	mux.HandleFunc("GET /gauge/{gauge}/withdraw/{key}", s.page(s.undoForm))
	mux.HandleFunc("POST /gauge/{gauge}/withdraw/{key}", s.page(s.undo))
	mux.HandleFunc("GET /import", s.page(s.importForm))
	mux.HandleFunc("POST /import", s.page(s.take))
	mux.HandleFunc("GET /legend", s.page(s.legend))
	mux.HandleFunc("GET /cautions", s.page(s.cautions))
	mux.HandleFunc("GET /family/{id}", s.page(s.family))
	mux.HandleFunc("GET /family/new", s.page(s.reviseForm))
	mux.HandleFunc("POST /family/new", s.page(s.begin))
	mux.HandleFunc("GET /family/{id}/revise", s.page(s.reviseForm))
	mux.HandleFunc("GET /draft/{draft}", s.page(s.draft))
	mux.HandleFunc("POST /draft/{draft}", s.page(s.decide))
	mux.HandleFunc("GET /draft/{draft}/engine", s.page(s.draftSheet))
	mux.HandleFunc("POST /draft/{draft}/engine", s.page(s.editSheet))
	mux.HandleFunc("GET /draft/{draft}/part/{component}", s.page(s.draftSheet))
	mux.HandleFunc("POST /draft/{draft}/part/{component}", s.page(s.editSheet))
	mux.HandleFunc("GET /draft/{draft}/family.yaml", s.page(s.draftFile))
	mux.HandleFunc("GET /job/{job}/repin", s.page(s.repinForm))
	mux.HandleFunc("POST /job/{job}/repin", s.page(s.repin))
	mux.HandleFunc("GET /reader", s.page(s.settings))
	mux.HandleFunc("POST /reader", s.page(s.set))
	mux.HandleFunc("GET /devices", s.page(s.devices))
	mux.HandleFunc("POST /devices", s.page(s.changeDevices))
	mux.HandleFunc("GET /sign-in", s.page(s.signInForm))
	mux.HandleFunc("POST /sign-in", s.comeIn)
	mux.HandleFunc("GET /lock", s.page(s.lockForm))
	mux.HandleFunc("POST /lock", s.comeIn)
	mux.HandleFunc("GET /enrol", s.page(s.enrolForm))
	mux.HandleFunc("POST /enrol", s.page(s.enrol))
	mux.HandleFunc("GET /me", s.page(s.meForm))
	mux.HandleFunc("POST /me", s.page(s.me))
	mux.HandleFunc("GET /trust", s.page(s.trust))
	mux.HandleFunc("GET /authority.crt", s.page(s.authority))
	mux.HandleFunc("GET /static/{file}", s.static)
	mux.HandleFunc("GET /static/s/{version}/{file}", s.script)
	mux.HandleFunc("GET /worker.js", s.workerScript)
	mux.HandleFunc("/", s.page(s.nothing))
}

// Server is a server with every timeout set: a slow or silent client holds
// nothing for long.
func Server(h http.Handler) *http.Server {
	return &http.Server{Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 60 * time.Second, WriteTimeout: 60 * time.Second,
		IdleTimeout: 120 * time.Second, MaxHeaderBytes: 64 << 10}
}

// judged finds a job and the case that views speak of.
func (s *site) judged(r *http.Request) (*view.Case, *bench.Judged, error) {
	id := r.PathValue("job")
	j, err := s.Bench.Judge(r.Context(), id)
	if err != nil {
		return nil, nil, err
	}
	return s.caseOf(id, j), j, nil
}

// mostCases bounds the cases kept; each is small beside what it points to.
const mostCases = 128

func (s *site) caseOf(id string, j *bench.Judged) *view.Case {
	s.mu.Lock()
	defer s.mu.Unlock()
	if c, ok := s.cases[id]; ok && c.of == j {
		return c.view
	}
	if len(s.cases) >= mostCases {
		clear(s.cases)
	}
	c := view.NewCase(j.Assessment, j.Layout, s.Bench.Library(), j.Job, j.Shop, sketch())
	s.cases[id] = cased{j, c}
	return c
}
