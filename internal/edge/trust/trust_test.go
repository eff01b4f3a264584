package trust

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fettle/internal/base/fault"
)

// places are a shop's; synthetic.
func places() Places {
	_, n, _ := net.ParseCIDR("192.168.7.0/24")
	return Places{Names: []string{"shop.test"}, Addresses: []net.IP{net.ParseIP("192.168.7.5")}, Networks: []*net.IPNet{n}}
}

type desk struct {
	t   *testing.T
	now time.Time
	at  Places
	dir string
	bad []error
}

func newDesk(t *testing.T) *desk {
	return &desk{t: t, now: time.Date(2026, 11, 24, 8, 0, 0, 0, time.UTC), at: places(), dir: filepath.Join(t.TempDir(), "authority")}
}

func (d *desk) config() Config {
	return Config{Dir: d.dir, Places: func() Places { return d.at }, Clock: func() time.Time { return d.now }, Failed: func(err error) { d.bad = append(d.bad, err) }}
}

func (d *desk) seal() *Seal {
	d.t.Helper()
	s, err := New(d.config())
	if err != nil {
		d.t.Fatal(err)
	}
	return s
}

// shown is the certificate that a client would get.
func shown(t *testing.T, s *Seal) *x509.Certificate {
	t.Helper()
	c, err := s.Config().GetCertificate(&tls.ClientHelloInfo{})
	if err != nil {
		t.Fatal(err)
	}
	return c.Leaf
}

func pool(t *testing.T, s *Seal) *x509.CertPool {
	t.Helper()
	p := x509.NewCertPool()
	if !p.AppendCertsFromPEM(s.Authority()) {
		t.Fatal("the authority's file holds no certificate")
	}
	return p
}

func key(err error) string {
	var f *fault.Fault
	if errors.As(err, &f) {
		return f.Key
	}
	return ""
}

// handshake is the certificate that a client gets which trusts the authority's
// file and goes by the desk's clock.
func (d *desk) handshake(s *Seal) *x509.Certificate {
	d.t.Helper()
	here, there := net.Pipe()
	defer here.Close()
	go func() { _ = tls.Server(there, s.Config()).Handshake() }() // the client says what went wrong
	c := tls.Client(here, &tls.Config{RootCAs: pool(d.t, s), ServerName: "shop.test", Time: func() time.Time { return d.now }})
	if err := c.Handshake(); err != nil {
		d.t.Fatal(err)
	}
	return c.ConnectionState().PeerCertificates[0]
}

// Law: the chain verifies against the file that a tablet takes, for every name
// and address served and for no other.
func TestChain(t *testing.T) {
	d := newDesk(t)
	s := d.seal()
	for host, ok := range map[string]bool{"shop.test": true, "localhost": true, "192.168.7.5": true, "127.0.0.1": true, "::1": true,
		"192.168.7.6": false, "other.test": false, "xshop.test": false} {
		_, err := shown(t, s).Verify(x509.VerifyOptions{DNSName: host, Roots: pool(t, s), CurrentTime: d.now})
		if (err == nil) != ok {
			t.Errorf("%s: %v", host, err)
		}
		if s.Answers(host) != ok {
			t.Errorf("answers to %s: %v", host, !ok)
		}
	}
	if life := shown(t, s).NotAfter.Sub(shown(t, s).NotBefore); life > 365*24*time.Hour {
		t.Errorf("the certificate lives %v", life)
	}
}

// Law: whoever gets hold of the authority's key still cannot vouch for another
// name or another address.
func TestAuthorityIsBound(t *testing.T) {
	d := newDesk(t)
	s := d.seal()
	for _, p := range []Places{
		{Names: []string{"bank.example"}},
		{Names: []string{"shop.test"}, Addresses: []net.IP{net.ParseIP("203.0.113.9")}},
	} {
		c, err := s.own.issue(p, d.now)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.Leaf.Verify(x509.VerifyOptions{Roots: pool(t, s), CurrentTime: d.now}); err == nil {
			t.Errorf("a certificate for %v verifies", p)
		}
	}
	ca := s.own.cert
	if !ca.PermittedDNSDomainsCritical || !ca.MaxPathLenZero || ca.KeyUsage != x509.KeyUsageCertSign {
		t.Errorf("the authority may do more than vouch for a server: %+v", ca.KeyUsage)
	}
}

// Law: before its end the certificate is another, under the same authority and
// without a new start; the old one is shown until then.
func TestRenewal(t *testing.T) {
	d := newDesk(t)
	s := d.seal()
	first := shown(t, s)
	d.now = first.NotAfter.Add(-renewBefore - time.Hour)
	if shown(t, s) != first {
		t.Error("renewed too early")
	}
	d.now = first.NotAfter.Add(-renewBefore + time.Hour)
	second := d.handshake(s) // over a connection, as a tablet sees it
	if second.SerialNumber.Cmp(first.SerialNumber) == 0 {
		t.Fatal("a month before its end the certificate is still the first")
	}
	if _, err := second.Verify(x509.VerifyOptions{DNSName: "shop.test", Roots: pool(t, s), CurrentTime: first.NotAfter.Add(24 * time.Hour)}); err != nil {
		t.Errorf("the second one, after the first has ended: %v", err)
	}
	// Another address by DHCP, in the same network: a new certificate at once.
	d.at.Addresses = []net.IP{net.ParseIP("192.168.7.77")}
	d.now = d.now.Add(again)
	if _, err := shown(t, s).Verify(x509.VerifyOptions{DNSName: "192.168.7.77", Roots: pool(t, s), CurrentTime: d.now}); err != nil {
		t.Errorf("after the address moved: %v", err)
	}
	// One outside of what the authority may vouch for is left out.
	d.at.Addresses = []net.IP{net.ParseIP("10.9.9.9")}
	d.now = d.now.Add(again)
	if s.Answers("10.9.9.9") || len(d.bad) > 0 {
		t.Error("answers to an address that the authority cannot vouch for", d.bad)
	}
}

func TestAuthorityIsKept(t *testing.T) {
	d := newDesk(t)
	one := d.seal().Fingerprint()
	if st, err := os.Stat(filepath.Join(d.dir, keyFile)); err != nil || st.Mode().Perm() != 0o600 {
		t.Errorf("the key's file: %v %v", st.Mode(), err)
	}
	if two := d.seal().Fingerprint(); two != one || len(one) != 32*3-1 {
		t.Errorf("another authority at the second start: %s, %s", one, two)
	}
	d.at.Names = []string{"shop.test", "other.test"} // such as a new name of the machine
	if s := d.seal(); s.Answers("other.test") || len(s.LeftOut()) != 1 {
		t.Errorf("a name that nobody asked for and the authority cannot vouch for: left out is %v", s.LeftOut())
	}
	d.at.Asked = []string{"other.test"}
	_, err := New(d.config())
	if key(err) != "trust.outside" {
		t.Errorf("a name the authority cannot vouch for: %v", err)
	}
	d.at = places()
	if err := os.Chmod(filepath.Join(d.dir, keyFile), 0o640); err != nil {
		t.Fatal(err)
	}
	if _, err := New(d.config()); key(err) != "trust.open-key" {
		t.Errorf("a key that others may read: %v", err)
	}
	if err := os.WriteFile(filepath.Join(d.dir, keyFile), []byte("no key"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(filepath.Join(d.dir, keyFile), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := New(d.config()); key(err) != "trust.bad" {
		t.Errorf("a broken key: %v", err)
	}
}

// A certificate that was given is shown, and the next one in its place without
// a new start.
func TestGivenCertificate(t *testing.T) {
	d := newDesk(t)
	d.now = time.Now()
	maker := d.seal()
	dir := t.TempDir()
	cert, priv := filepath.Join(dir, "c.pem"), filepath.Join(dir, "k.pem")
	put := func(at time.Time) {
		c, err := maker.own.issue(places(), d.now)
		if err != nil {
			t.Fatal(err)
		}
		raw, err := x509.MarshalPKCS8PrivateKey(c.PrivateKey)
		if err != nil {
			t.Fatal(err)
		}
		for name, b := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: c.Certificate[0]}, priv: {Type: "PRIVATE KEY", Bytes: raw}} {
			if err := os.WriteFile(name, pem.EncodeToMemory(b), 0o600); err != nil {
				t.Fatal(err)
			}
			if err := os.Chtimes(name, at, at); err != nil {
				t.Fatal(err)
			}
		}
	}
	put(d.now)
	c := d.config()
	c.Dir, c.Cert, c.Key = filepath.Join(dir, "none"), cert, priv
	s, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	if s.Authority() != nil || s.Fingerprint() != "" || !s.Answers("shop.test") || s.Answers("other.test") {
		t.Error("a given certificate comes with an authority of ours, or answers to other names")
	}
	first := shown(t, s)
	put(d.now.Add(time.Hour))
	d.now = d.now.Add(again)
	if shown(t, s).SerialNumber.Cmp(first.SerialNumber) == 0 {
		t.Error("the new files were not read")
	}
	if err := os.WriteFile(cert, []byte("rubbish"), 0o600); err != nil {
		t.Fatal(err)
	}
	d.now = d.now.Add(again)
	if shown(t, s) == nil || len(d.bad) == 0 {
		t.Error("a broken file took the certificate away, or nobody was told")
	}
	if _, err := New(c); key(err) != "trust.given" {
		t.Errorf("starting with a broken file: %v", err)
	}
	if _, err := os.Stat(c.Dir); err == nil {
		t.Error("an authority was made that nobody needs")
	}
}

func TestNames(t *testing.T) {
	for n, ok := range map[string]bool{"shop.lan": true, "shop": true, "a-b.c1": true, "": false, "a b": false, "-a": false, "*.lan": false, "ü.lan": false, "a..b": false} {
		if (Name(n) == nil) != ok {
			t.Errorf("%q: %v", n, Name(n))
		}
	}
	p := Here([]string{"Shop.LAN.", "192.168.7.5"}, net.IPv4zero)
	if p.Names[0] != "shop.lan" || !p.Addresses[0].Equal(net.ParseIP("192.168.7.5")) {
		t.Errorf("asked names come first: %+v", p)
	}
}
