package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"strconv"
	"strings"
	"syscall"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/edge/door"
	"fettle/internal/edge/store"
	"fettle/internal/edge/trust"
	"fettle/internal/edge/web"
	"fettle/internal/facts/entry"
	"fettle/internal/show/sheet"
	"fettle/internal/show/view"
)

// serveCmd serves a store.
type serveCmd struct {
	Dir   string `default:"shop" help:"dir"`
	Addr  string `default:"127.0.0.1:8430" help:"serve_addr"`
	Host  string `help:"host"`
	Cert  string `help:"cert"`
	Key   string `help:"cert_key"`
	Plain string `help:"plain"`
	Lang  string `default:"en" enum:"en,de" help:"lang"`
}

// Run serves until the process is told to stop.
func (c *serveCmd) Run(s *shell) error {
	if err := s.know(); err != nil {
		return err
	}
	if faults := s.lib.AllFamilies(s.files); len(faults) > 0 {
		return faults
	}
	var hosts []string
	for h := range strings.SplitSeq(c.Host, ",") {
		if h = strings.TrimSpace(h); h == "" {
			continue
		}
		if err := trust.Name(h); err != nil && net.ParseIP(h) == nil {
			return err
		}
		hosts = append(hosts, h)
	}
	if (c.Cert == "") != (c.Key == "") {
		return fault.New(fault.Invalid, "cli.cert-and-key")
	}
	return s.open(site{dir: c.Dir, addr: c.Addr, lang: c.Lang, hosts: hosts, say: "cli.serving-at", door: true, cert: c.Cert, key: c.Key, plain: c.Plain})
}

// site is what is served: a folder at an address.
type site struct {
	dir, addr, lang, say string
	hosts                []string
	first                []entry.Entry // written before the first page
	stock                bool          // the shelf of the demonstration too
	door                 bool          // has a door, and may be served beyond this machine once that is ready
	cert, key, plain     string
}

// beyond says whether an address is listened on by others than this machine.
func beyond(addr string) bool {
	host, _, err := net.SplitHostPort(addr)
	if err != nil || host == "localhost" {
		return false // a wrong one says so when it is listened on
	}
	ip := net.ParseIP(host)
	return ip == nil || !ip.IsLoopback()
}

// grace is how long running requests may take when the process is stopped.
const grace = 5 * time.Second

// open opens the store of a site and serves it.
func (s *shell) open(at site) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	far := beyond(at.addr)
	switch {
	case far && !at.door:
		return fault.New(fault.Refused, "cli.only-here", "addr", at.addr)
	case !far && (at.cert != "" || at.plain != ""):
		return fault.New(fault.Invalid, "cli.not-beyond", "addr", at.addr)
	}
	st, err := store.Open(ctx, at.dir, time.Now)
	if err != nil {
		return err
	}
	defer st.Close()
	if faults := s.lib.Guides(); len(faults) > 0 {
		return faults
	}
	if len(at.first) > 0 {
		if _, err := st.Append(ctx, at.first); err != nil {
			return err
		}
	}
	b := bench.New(st, s.lib, time.Now)
	faults, err := b.TakeOwn()
	if err != nil {
		return err
	}
	for _, f := range faults {
		fmt.Fprintln(s.Err, s.book.Say("cli.own-family"), s.line(f))
	}
	if at.stock {
		if err := s.stockDemo(ctx, b); err != nil {
			return err
		}
	}
	c := web.Config{Bench: b, Hosts: at.hosts, Lang: at.lang, Program: program(),
		Record: func(c *view.Case, r view.Reader) ([]byte, error) {
			return sheet.Record(sheet.Input{Case: c, Reader: r, Program: program(), Photos: b.Photo})
		},
		Failed: func(err error) { fmt.Fprintln(s.Err, err) }}
	if at.door {
		if c.Door, err = door.New(ctx, door.Config{Store: st, Bench: b, Clock: time.Now}); err != nil {
			return err
		}
	}
	var servers []served
	if far {
		servers, err = s.far(ctx, at, c)
	} else {
		servers, err = s.near(at, c)
	}
	if err != nil {
		return err
	}
	go s.warm(ctx, st, b)
	return s.serve(ctx, servers)
}

// served is a server with what it listens on.
type served struct {
	*http.Server
	on net.Listener
}

func listen(addr string) (net.Listener, error) {
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fault.New(fault.Refused, "cli.no-address", "addr", addr, "error", err.Error())
	}
	return l, nil
}

// near serves on this machine only.
func (s *shell) near(at site, c web.Config) ([]served, error) {
	h, err := web.New(c)
	if err != nil {
		return nil, err
	}
	l, err := listen(at.addr)
	if err != nil {
		return nil, err
	}
	address := "http://" + l.Addr().String() + "/"
	fmt.Fprintln(s.Out, s.book.Say(at.say, "address", address, "dir", at.dir))
	if c.Door != nil && !c.Door.Owned() {
		code, err := c.Door.SetupCode()
		if err != nil {
			return nil, errors.Join(err, l.Close())
		}
		fmt.Fprintln(s.Out, s.book.Say("cli.setup-code", "address", address+"devices", "code", code))
	}
	return []served{{web.Server(h), l}}, nil
}

// warm judges every job once, so that no reader waits for the first page of
// it. It says how far it is where that takes longer than a run stays silent.
func (s *shell) warm(ctx context.Context, st *store.Store, b *bench.Bench) {
	heads, err := st.Streams(ctx)
	if err != nil {
		return // the first page says so too
	}
	began, said, jobs := time.Now(), false, 0
	for i, h := range heads {
		id, ok := strings.CutPrefix(h.Stream, entry.JobStream(""))
		if !ok || ctx.Err() != nil {
			continue
		}
		if _, err := b.Judge(ctx, id); err == nil {
			jobs++
		}
		if time.Since(began) > patience {
			began, said = time.Now(), true
			fmt.Fprintln(s.Err, s.book.Say("cli.judging", "done", strconv.Itoa(i+1), "all", strconv.Itoa(len(heads))))
		}
	}
	if said {
		fmt.Fprintln(s.Err, s.book.Count("cli.judged", jobs, strconv.Itoa(jobs)))
	}
}

// serve runs servers until the context ends, then lets them finish.
func (s *shell) serve(ctx context.Context, servers []served) error {
	failed := make(chan error, len(servers))
	for _, v := range servers {
		go func() {
			if v.TLSConfig != nil {
				failed <- v.ServeTLS(v.on, "", "")
				return
			}
			failed <- v.Serve(v.on)
		}()
	}
	var broken error
	select {
	case err := <-failed:
		broken = fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.Background(), grace)
	defer cancel()
	for _, v := range servers {
		if err := v.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) && broken == nil {
			broken = err
		}
	}
	if broken == nil {
		fmt.Fprintln(s.Out, s.book.Say("cli.stopped"))
	}
	return broken
}
