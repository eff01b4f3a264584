package web

import (
	"context"
	"encoding/base64"
	"errors"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/facts/stock"
	"fettle/internal/facts/stocklist"
	"fettle/internal/show/view"
)

func onShelf(l *bench.Shelved) view.OnShelf {
	out := view.OnShelf{Lot: l.Lot, Pieces: l.Pieces, Used: map[int]view.InUse{}, Free: l.Free()}
	for n, u := range l.Used {
		out.Used[n] = view.InUse{Job: u.Job, Part: u.Part}
	}
	return out
}

func (s *site) onShelf(ctx context.Context) ([]view.OnShelf, error) {
	list, err := s.Bench.Shelf(ctx)
	if err != nil {
		return nil, err
	}
	out := make([]view.OnShelf, len(list))
	for i := range list {
		out[i] = onShelf(&list[i])
	}
	return out, nil
}

// shelf is the page of the shelf. It changes with every job, so nobody keeps it.
func (s *site) shelf(r *http.Request, rd view.Reader) (answer, error) {
	v, err := s.shelfView(r, rd, "", nil, nil)
	if err != nil {
		return answer{}, err
	}
	v.Notice = stockNotice(rd, r.URL.Query().Get("stored"))
	return answer{write: func(w io.Writer) error { return s.pages.Shelf(w, v) }}, nil
}

// stockNotice says how many entries were new.
func stockNotice(rd view.Reader, stored string) string {
	n, err := strconv.Atoi(stored)
	switch {
	case err != nil:
		return ""
	case n == 0:
		return rd.T("page.shelf.again")
	}
	return rd.N("page.shelf.stored", n)
}

func (s *site) shelfView(r *http.Request, rd view.Reader, act string, typed map[string]string, faults map[string][]string) (view.Shelf, error) {
	ctx := r.Context()
	sh, err := s.Bench.Shop(ctx)
	if err != nil {
		return view.Shelf{}, err
	}
	list, err := s.onShelf(ctx)
	if err != nil {
		return view.Shelf{}, err
	}
	key, err := s.newKey()
	if err != nil {
		return view.Shelf{}, err
	}
	q := r.URL.Query()
	step := rd.ShelfStep(sh, key, orText(typed["person"], known(r, "person")), view.ShelfHref("")).Back(act, typed, faults)
	return rd.ShelfPage(sh, list, s.Bench.Families(), step, q.Get("kind"), q.Get("family")), nil
}

// typedOf is what a form holds.
func typedOf(f url.Values) map[string]string {
	out := map[string]string{}
	for name := range f {
		out[name] = f.Get(name)
	}
	return out
}

// shelve takes a file, its confirmation, or one of the forms of the shelf.
func (s *site) shelve(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseMultipartForm(mostFile); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		return answer{}, asInvalid(err)
	}
	act, typed := r.FormValue("act"), typedOf(r.Form)
	if act == "file" || act == "take" {
		return s.shelfFile(r, rd, act, typed)
	}
	in := s.stockForm(r, act, typed)
	got, err := s.Bench.TakeShelf(r.Context(), in)
	if err != nil {
		return s.shelfRefused(r, rd, act, typed, err)
	}
	return seeStock(r, view.ShelfHref(""), in.Person, got.Fresh), nil
}

func seeStock(r *http.Request, to, person string, fresh int) answer {
	c := lastPerson(r, person)
	c.Path = "/shelf"
	return answer{see: to + "?stored=" + strconv.Itoa(fresh), cookie: []*http.Cookie{c}}
}

// stockForm makes the one row of a form.
func (s *site) stockForm(r *http.Request, act string, typed map[string]string) bench.Stocking {
	row := stocklist.Row{Cells: map[string]string{"row": act}}
	for _, c := range stocklist.Columns() {
		if v := typed[c]; c != "row" && v != "" {
			row.Cells[c] = v
		}
	}
	in := bench.Stocking{Rows: []stocklist.Row{row}, Mark: '.', Person: typed["person"], Device: deviceOf(r.Context(), device)}
	if typed["mark"] == "comma" {
		in.Mark = ','
	}
	return in
}

func (s *site) shelfRefused(r *http.Request, rd view.Reader, act string, typed map[string]string, err error) (answer, error) {
	faults, err := s.stepFaults(rd, err)
	if err != nil {
		return answer{}, err
	}
	v, err := s.shelfView(r, rd, act, typed, faults)
	if err != nil {
		return answer{}, err
	}
	return answer{status: http.StatusUnprocessableEntity, write: func(w io.Writer) error { return s.pages.Shelf(w, v) }}, nil
}

// shelfFile shows how a file was understood, with all that is wrong at once;
// confirmed, it stores it. The preview carries the file.
func (s *site) shelfFile(r *http.Request, rd view.Reader, act string, typed map[string]string) (answer, error) {
	name, text, err := certificateOf(r)
	if err != nil {
		return answer{}, err
	}
	if name == "certificate.xml" && text == nil {
		name = "shelf.csv"
	}
	rows, mark, err := bench.ReadShelf(name, text)
	in := bench.Stocking{Name: name, Rows: rows, Mark: mark, Person: typed["person"], Device: deviceOf(r.Context(), device)}
	var got bench.Stocked
	if err == nil && act == "take" {
		if got, err = s.Bench.TakeShelf(r.Context(), in); err == nil {
			return seeStock(r, view.ShelfHref(""), in.Person, got.Fresh), nil
		}
	} else if err == nil {
		got, err = s.Bench.OfferShelf(r.Context(), in)
	}
	v, verr := s.shelfView(r, rd, act, map[string]string{"person": typed["person"]}, nil)
	if verr != nil {
		return answer{}, verr
	}
	status := 0
	if list := (fault.List)(nil); errors.As(err, &list) {
		v.Tell(rd, list)
		status = http.StatusUnprocessableEntity
	} else if err != nil {
		return answer{}, err
	} else {
		v.Offer = &view.ShelfOffer{Name: name, Text: base64.StdEncoding.EncodeToString(text), Summary: []view.Fact{{Name: rd.T("page.import.file"), Value: name},
			{Name: rd.T("page.shelf.rows"), Value: rd.Int(len(rows))}, {Name: rd.T("page.shelf.entries"), Value: rd.Int(len(got.Said))}, {Name: rd.T("page.shelf.fresh"), Value: rd.Int(got.Fresh)}}}
	}
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Shelf(w, v) }}, nil
}

// lot is the page of one lot.
func (s *site) lot(r *http.Request, rd view.Reader) (answer, error) {
	v, err := s.lotView(r, rd, "", nil, nil)
	if err != nil {
		return answer{}, err
	}
	v.Notice = stockNotice(rd, r.URL.Query().Get("stored"))
	return answer{write: func(w io.Writer) error { return s.pages.Lot(w, v) }}, nil
}

func (s *site) lotView(r *http.Request, rd view.Reader, act string, typed map[string]string, faults map[string][]string) (view.Lot, error) {
	ctx, id := r.Context(), r.PathValue("lot")
	l, err := s.Bench.Lot(ctx, id)
	if err != nil {
		return view.Lot{}, err
	}
	sh, err := s.Bench.Shop(ctx)
	if err != nil {
		return view.Lot{}, err
	}
	key, err := s.newKey()
	if err != nil {
		return view.Lot{}, err
	}
	step := rd.ShelfStep(sh, key, orText(typed["person"], known(r, "person")), view.ShelfHref(id)).Back(act, typed, faults)
	return rd.LotPage(sh, onShelf(&l), step, s.Bench.Now()), nil
}

// stockLot takes a goods-in reading, or takes a piece off the shelf.
func (s *site) stockLot(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	id, act, typed := r.PathValue("lot"), r.PostForm.Get("act"), typedOf(r.PostForm)
	key, err := entry.ParseKey(typed["key"])
	if err != nil {
		return answer{}, err
	}
	fresh := 1
	if act == "leave" {
		n, bad := strconv.Atoi(strings.TrimSpace(typed["pieces"]))
		p := shop.LeftV1{Lot: id, Why: typed["why"], Reason: typed["note"]}
		if bad == nil {
			p.Pieces = []int{n}
		}
		_, err = s.Bench.Leave(r.Context(), bench.Step{Person: typed["person"], Device: deviceOf(r.Context(), device), Key: key}, p)
	} else {
		in := s.stockForm(r, stocklist.Piece, typed)
		in.Rows[0].Cells["lot"] = id
		var got bench.Stocked
		got, err = s.Bench.TakeShelf(r.Context(), in)
		fresh = got.Fresh
	}
	if err == nil {
		return seeStock(r, view.ShelfHref(id), typed["person"], fresh), nil
	}
	faults, err := s.stepFaults(rd, err)
	if err != nil {
		return answer{}, err
	}
	v, err := s.lotView(r, rd, act, typed, faults)
	if err != nil {
		return answer{}, err
	}
	return answer{status: http.StatusUnprocessableEntity, write: func(w io.Writer) error { return s.pages.Lot(w, v) }}, nil
}

// parts is the page of the parts of a job. What is free changes with every other
// job, so nobody keeps it.
func (s *site) parts(r *http.Request, rd view.Reader) (answer, error) {
	c, _, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	key, err := s.newKey()
	if err != nil {
		return answer{}, err
	}
	write, _ := partsPage.show(s, c, rd, c.StepOf(rd, key, known(r, "person"), "parts"), r.URL.Query())
	return answer{write: write}, nil
}

var partsPage = arrival{below: []string{"parts"},
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		list, err := s.onShelf(context.Background())
		if err != nil {
			return func(io.Writer) error { return err }, true
		}
		kind := q.Get("kind")
		if v.Act != "" && v.Act != "give" {
			kind = ""
		}
		var places []string
		if k, ok := stock.KindOf(kind); ok {
			places = bench.Places(c.Layout, k)
		} else {
			kind = ""
		}
		p := c.PartsPage(rd, list, v, kind, places, s.Bench.Now())
		p.Notice = notice(c, rd, q)
		return func(w io.Writer) error { return s.pages.Parts(w, p) }, true
	},
	store: func(s *site, r *http.Request, st bench.Step, act string) (bench.Receipt, error) {
		f, ctx := r.PostForm, r.Context()
		is := func(name string) string { return strings.TrimSpace(f.Get(name)) }
		whole := func(name string) int {
			n, err := strconv.Atoi(is(name))
			if err != nil && is(name) != "" {
				return -1
			}
			return n
		}
		switch {
		case act == "give":
			lot, piece, _ := strings.Cut(is("give"), ":")
			n, _ := strconv.Atoi(piece)
			return s.Bench.Allocate(ctx, st, job.AllocatedV1{Lot: lot, Piece: n, Part: is("part")})
		case strings.HasPrefix(act, "free-"):
			return s.Bench.Free(ctx, st, is("target"))
		case strings.HasPrefix(act, "receive-"):
			return s.Bench.Receive(ctx, st, job.ReceivedV1{Order: is("order"), Line: whole("line"), Taken: whole("taken"), Returned: whole("returned"), Lot: is("lot")}, is("place"))
		case act == "out":
			return s.Bench.SendOut(ctx, st, job.SentOutV1{Part: is("part"), Operation: is("operation"), To: is("to"), Price: is("price"), Wanted: is("wanted")})
		case strings.HasPrefix(act, "back-"):
			return s.Bench.ComeBack(ctx, st, is("target"), is("note"))
		}
		n := job.OrderLineV1{Sort: stock.SortV1{Kind: is("kind"), Class: is("class"), Role: is("role"), Step: is("step"), Size: is("size")}, Count: whole("count"), Price: is("price"), For: is("for")}
		if m := is("measure"); m != "" {
			k := stock.CriterionV1{Measure: m, Min: is("min"), Max: is("max"), Unit: is("unit")}
			if m == stock.Seen {
				k = stock.CriterionV1{Measure: m}
			}
			n.Accept = []stock.CriterionV1{k}
		}
		if j, err := s.Bench.Judge(ctx, st.Job); err == nil && n.Sort.Kind != "other" {
			n.Sort.Family = j.Job.Family
		}
		o := job.OrderV1{Order: is("order"), Supplier: is("supplier"), Lines: []job.OrderLineV1{n}}
		if d := is("due"); d != "" {
			day, err := time.Parse(time.DateOnly, d)
			if err != nil {
				return bench.Receipt{}, fault.List{fault.New(fault.Invalid, "bench.no-day", "found", clip(d)).In("due")}
			}
			o.Due = day.UnixMicro()
		}
		return s.Bench.Order(ctx, st, o)
	}}
