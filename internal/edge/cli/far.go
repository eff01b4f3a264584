package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"strconv"
	"strings"
	"time"

	"fettle/internal/edge/trust"
	"fettle/internal/edge/web"
)

// far serves to the shop's network: the pages over TLS, and beside them the
// plain port that says how to trust them. Nothing listens before the door is
// ready.
func (s *shell) far(ctx context.Context, at site, c web.Config) (out []served, err error) {
	if err := c.Door.Ready(ctx); err != nil {
		return nil, err
	}
	host, _, err := net.SplitHostPort(at.addr)
	if err != nil {
		return nil, err
	}
	seal, err := trust.New(trust.Config{Dir: trust.Folder(at.dir), Cert: at.cert, Key: at.key, Clock: time.Now, Failed: c.Failed,
		Places: func() trust.Places { return trust.Here(at.hosts, net.ParseIP(host)) }})
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			for _, v := range out {
				err = errors.Join(err, v.on.Close())
			}
		}
	}()
	l, err := listen(at.addr)
	if err != nil {
		return nil, err
	}
	out = append(out, served{on: l})
	name := first(at.hosts, seal.Names())
	c.Answers = seal.Answers
	c.Trust = &web.Trust{Authority: seal.Authority(), Fingerprint: seal.Fingerprint(), Secure: "https://" + net.JoinHostPort(name, port(l)) + "/"}
	if at.plain != "off" {
		p, err := listen(beside(at.plain, host, l))
		if err != nil {
			return out, err
		}
		out = append(out, served{on: p})
		c.Trust.Plain = "http://" + net.JoinHostPort(name, port(p)) + "/"
		h, err := web.Plain(web.PlainConfig{Library: s.lib, Trust: *c.Trust, Answers: seal.Answers, Lang: c.Lang})
		if err != nil {
			return out, err
		}
		out[1].Server = web.Server(h)
	}
	h, err := web.New(c)
	if err != nil {
		return out, err
	}
	out[0].Server = web.Server(h)
	out[0].TLSConfig = seal.Config()
	out[0].ErrorLog = log.New(withoutHandshakes{s.Err}, "", 0)
	fmt.Fprintln(s.Out, s.book.Say(at.say, "address", c.Trust.Secure, "dir", at.dir))
	if c.Trust.Plain != "" {
		fmt.Fprintln(s.Out, s.book.Say("cli.begin-at", "address", c.Trust.Plain))
	}
	if f := c.Trust.Fingerprint; f != "" {
		fmt.Fprintln(s.Out, s.book.Say("cli.fingerprint", "fingerprint", f))
	}
	if left := seal.LeftOut(); len(left) > 0 {
		fmt.Fprintln(s.Err, s.book.Say("cli.left-out", "list", strings.Join(left, ", "), "dir", trust.Folder(at.dir)))
	}
	return out, nil
}

// first is the name that people are told: one that was asked for, or an address,
// which needs no name service, or what else there is.
func first(asked, names []string) string {
	if len(asked) > 0 {
		return asked[0]
	}
	for _, n := range names {
		if net.ParseIP(n) != nil {
			return n
		}
	}
	return names[0]
}

func port(l net.Listener) string {
	_, p, _ := net.SplitHostPort(l.Addr().String()) // a listener always has one
	return p
}

// beside is where the plain port listens: as asked, or one above the pages.
func beside(asked, host string, l net.Listener) string {
	if asked != "" {
		return asked
	}
	n, _ := strconv.Atoi(port(l)) // always a number
	return net.JoinHostPort(host, strconv.Itoa(n+1))
}

// withoutHandshakes leaves out what every tablet causes that does not trust the
// shop yet.
type withoutHandshakes struct{ to io.Writer }

func (w withoutHandshakes) Write(b []byte) (int, error) {
	if bytes.Contains(b, []byte("TLS handshake error")) {
		return len(b), nil
	}
	return w.to.Write(b)
}
