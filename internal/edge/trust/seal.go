package trust

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"fettle/internal/base/fault"
)

// Seal is what a site shows of itself: a certificate, the names it stands for,
// and how to know the authority behind it.
type Seal struct {
	clock  func() time.Time
	places func() Places
	own    *authority // nil where a certificate was given
	given  [2]string  // files of certificate and key

	mu     sync.Mutex // guards the rest
	leaf   *tls.Certificate
	made   string // the places it was made for, or the state of the given files
	looked time.Time
	failed func(error)
}

// Config is what a seal needs.
type Config struct {
	Dir       string // of the authority; it is made if it is not there
	Places    func() Places
	Clock     func() time.Time
	Cert, Key string      // files of a certificate that is used instead
	Failed    func(error) // told where a renewal goes wrong; the old certificate stays
}

// New makes the seal of a site.
func New(c Config) (*Seal, error) {
	s := &Seal{clock: c.Clock, places: c.Places, given: [2]string{c.Cert, c.Key}, failed: c.Failed}
	if s.failed == nil {
		s.failed = func(error) {}
	}
	if c.Cert == "" && c.Key == "" {
		a, err := openAuthority(c.Dir, s.places(), c.Clock())
		if err != nil {
			return nil, err
		}
		s.own = a
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s, s.renew()
}

// again is how often a seal looks whether addresses or files are others.
const again = time.Minute

// Config is how a server shows the seal: TLS 1.2 or later, the rest as Go has
// it.
func (s *Seal) Config() *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS12, NextProtos: []string{"h2", "http/1.1"},
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return s.current(), nil }}
}

// current is the certificate that holds now, renewed where its time comes.
func (s *Seal) current() *tls.Certificate {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.clock()
	if now.Sub(s.looked) >= again || now.Before(s.looked) {
		if err := s.renew(); err != nil {
			s.failed(err)
		}
	}
	return s.leaf
}

// renew makes or reads the certificate where that is due; on a failure the old
// one stays.
func (s *Seal) renew() error {
	now := s.clock()
	s.looked = now
	if s.own == nil {
		return s.read()
	}
	p := s.own.within(s.places())
	mark := strings.Join(names(p), " ")
	if s.leaf != nil && mark == s.made && now.Before(s.leaf.Leaf.NotAfter.Add(-renewBefore)) {
		return nil
	}
	leaf, err := s.own.issue(p, now)
	if err != nil {
		return err
	}
	s.leaf, s.made = leaf, mark
	return nil
}

// issue makes a certificate for these places, with a key of its own that is
// never written down.
func (a *authority) issue(p Places, now time.Time) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, broken("", err)
	}
	n, err := serial()
	if err != nil {
		return nil, broken("", err)
	}
	end := now.Add(leafLives - early)
	if end.After(a.cert.NotAfter) {
		end = a.cert.NotAfter
	}
	t := &x509.Certificate{
		SerialNumber: n,
		Subject:      pkix.Name{CommonName: p.Names[0]},
		NotBefore:    now.Add(-early), NotAfter: end,
		KeyUsage:    x509.KeyUsageDigitalSignature,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		DNSNames:    append([]string{"localhost"}, p.Names...),
		IPAddresses: append([]net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback}, p.Addresses...), BasicConstraintsValid: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, t, a.cert, &key.PublicKey, a.key)
	if err != nil {
		return nil, broken("", err)
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, broken("", err)
	}
	return &tls.Certificate{Certificate: [][]byte{der, a.cert.Raw}, PrivateKey: key, Leaf: leaf}, nil
}

// read reads the given certificate where its files are others than before.
func (s *Seal) read() error {
	mark := ""
	for _, f := range s.given {
		st, err := os.Stat(f)
		if err != nil {
			return fault.New(fault.Missing, "trust.given", "file", f, "error", plain(err))
		}
		mark += st.ModTime().UTC().Format(time.RFC3339Nano) + " "
	}
	if mark == s.made && s.leaf != nil {
		return nil
	}
	c, err := tls.LoadX509KeyPair(s.given[0], s.given[1])
	if err != nil {
		return fault.New(fault.Invalid, "trust.given", "file", s.given[0], "error", err.Error())
	}
	if now := s.clock(); now.After(c.Leaf.NotAfter) {
		return fault.New(fault.Invalid, "trust.given-old", "file", s.given[0], "end", c.Leaf.NotAfter.UTC().Format("2006-01-02"))
	}
	s.leaf, s.made = &c, mark
	return nil
}

func plain(err error) string {
	if p, ok := err.(*os.PathError); ok {
		return p.Err.Error()
	}
	return err.Error()
}

// Answers says whether the site is served under a name or an address.
func (s *Seal) Answers(host string) bool {
	if ip := net.ParseIP(host); ip != nil {
		return slices.ContainsFunc(s.current().Leaf.IPAddresses, ip.Equal)
	}
	if host == "" || strings.Contains(host, "*") {
		return false
	}
	if s.own == nil {
		return s.current().Leaf.VerifyHostname(host) == nil
	}
	return slices.ContainsFunc(s.current().Leaf.DNSNames, func(n string) bool { return strings.EqualFold(n, host) })
}

// Names are the names and addresses of the site, the one to be told first.
func (s *Seal) Names() []string {
	if s.own == nil {
		leaf := s.current().Leaf
		return names(Places{Names: slices.DeleteFunc(slices.Clone(leaf.DNSNames), func(n string) bool { return strings.Contains(n, "*") }), Addresses: leaf.IPAddresses})
	}
	return names(s.own.within(s.places()))
}

// LeftOut are names and addresses of this machine that the authority cannot
// vouch for: devices cannot use them.
func (s *Seal) LeftOut() []string {
	if s.own == nil {
		return nil
	}
	in := s.Names()
	return slices.DeleteFunc(names(s.places()), func(n string) bool { return slices.Contains(in, n) })
}

func names(p Places) []string {
	out := slices.Clone(p.Names)
	for _, a := range p.Addresses {
		out = append(out, a.String())
	}
	return out
}

// Authority is the certificate that devices have to trust, in PEM; nil where a
// certificate was given.
func (s *Seal) Authority() []byte {
	if s.own == nil {
		return nil
	}
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: s.own.cert.Raw})
}

// Fingerprint is the authority's; "" where a certificate was given.
func (s *Seal) Fingerprint() string {
	if s.own == nil {
		return ""
	}
	return fingerprint(s.own.cert.Raw)
}

// Folder is where the authority of a store lies.
func Folder(dir string) string { return filepath.Join(dir, "authority") }
