// Package trust makes the certificates that the pages are served with: an
// authority of the shop's own, bound to the names and addresses it serves, and
// a certificate below it that is renewed by itself. A certificate that was
// given is used instead.
package trust

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"fettle/internal/base/fault"
)

// How long certificates hold. Browsers refuse one of more than 398 days where
// its authority is public and of more than 825 days elsewhere (from memory);
// half a year is well inside both. It begins an hour early for clocks that are
// slow.
const (
	authorityLives = 10 * 365 * 24 * time.Hour
	leafLives      = 180 * 24 * time.Hour
	renewBefore    = 30 * 24 * time.Hour
	early          = time.Hour
)

const (
	keyFile  = "authority.key"
	certFile = "authority.crt"
)

// Places are the names and addresses that a site is served at. A network is
// where its address may move without the tablets having to trust anew.
type Places struct {
	Asked     []string // names and addresses that somebody asked for; they must be vouched for
	Names     []string
	Addresses []net.IP
	Networks  []*net.IPNet
}

// authority is the shop's own.
type authority struct {
	cert *x509.Certificate
	key  *ecdsa.PrivateKey
}

// openAuthority reads the authority of a folder, or makes it for these places.
func openAuthority(dir string, p Places, now time.Time) (*authority, error) {
	a, err := readAuthority(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return makeAuthority(dir, p, now)
	case err != nil:
		return nil, err
	case now.After(a.cert.NotAfter.Add(-leafLives)):
		return nil, fault.New(fault.Refused, "trust.old", "dir", dir, "end", a.cert.NotAfter.UTC().Format("2006-01-02"))
	}
	if out := a.outside(p); out != "" {
		return nil, fault.New(fault.Refused, "trust.outside", "found", out, "dir", dir,
			"expected", strings.Join(a.covers(), ", "))
	}
	return a, nil
}

func readAuthority(dir string) (*authority, error) {
	kf, cf := filepath.Join(dir, keyFile), filepath.Join(dir, certFile)
	k, err := os.ReadFile(kf)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		return nil, fault.New(fault.Broken, "trust.read", "file", kf, "error", err.Error()).Because(err)
	}
	if st, err := os.Stat(kf); runtime.GOOS != "windows" && (err != nil || st.Mode().Perm()&0o077 != 0) {
		return nil, fault.New(fault.Refused, "trust.open-key", "file", kf)
	}
	c, err := os.ReadFile(cf)
	if err != nil {
		return nil, fault.New(fault.Broken, "trust.read", "file", cf, "error", err.Error())
	}
	bad := fault.New(fault.Broken, "trust.bad", "dir", dir)
	kb, _ := pem.Decode(k)
	cb, _ := pem.Decode(c)
	if kb == nil || cb == nil {
		return nil, bad
	}
	key, err1 := x509.ParsePKCS8PrivateKey(kb.Bytes)
	cert, err2 := x509.ParseCertificate(cb.Bytes)
	ec, ok := key.(*ecdsa.PrivateKey)
	if err1 != nil || err2 != nil || !ok || !ec.PublicKey.Equal(cert.PublicKey) || !cert.IsCA {
		return nil, bad
	}
	return &authority{cert, ec}, nil
}

// makeAuthority makes an authority that can vouch for these places only. Its
// key never leaves the folder.
func makeAuthority(dir string, p Places, now time.Time) (*authority, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, broken(dir, err)
	}
	serial, err := serial()
	if err != nil {
		return nil, broken(dir, err)
	}
	t := &x509.Certificate{
		SerialNumber: serial,
		Subject:      pkix.Name{Organization: []string{"fettle"}, CommonName: "fettle of " + p.Names[0] + " " + now.UTC().Format("2006-01-02")},
		NotBefore:    now.Add(-early), NotAfter: now.Add(authorityLives),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true,
		KeyUsage:                    x509.KeyUsageCertSign,
		ExtKeyUsage:                 []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		PermittedDNSDomainsCritical: true,
		PermittedDNSDomains:         append([]string{"localhost"}, p.Names...),
		PermittedIPRanges:           append(loopback(), p.Networks...),
	}
	for _, a := range p.Addresses {
		if !slices.ContainsFunc(t.PermittedIPRanges, func(n *net.IPNet) bool { return n.Contains(a) }) {
			t.PermittedIPRanges = append(t.PermittedIPRanges, single(a))
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, t, t, &key.PublicKey, key)
	if err != nil {
		return nil, broken(dir, err)
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, broken(dir, err)
	}
	raw, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, broken(dir, err)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, broken(dir, err)
	}
	// The certificate first: a key without it would be a broken authority, a
	// certificate without a key is none and is written over.
	for _, f := range []struct {
		name, kind string
		body       []byte
		mode       os.FileMode
	}{{certFile, "CERTIFICATE", der, 0o644}, {keyFile, "PRIVATE KEY", raw, 0o600}} {
		if err := replace(filepath.Join(dir, f.name), pem.EncodeToMemory(&pem.Block{Type: f.kind, Bytes: f.body}), f.mode); err != nil {
			return nil, broken(dir, err)
		}
	}
	return &authority{cert, key}, nil
}

func broken(dir string, err error) error {
	return fault.New(fault.Broken, "trust.not-made", "dir", dir, "error", err.Error()).Because(err)
}

// replace writes a file beside its name, syncs it and renames it.
func replace(name string, body []byte, mode os.FileMode) error {
	temp := name + ".new"
	_ = os.Remove(temp) // an old one may have another mode
	f, err := os.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	_, err = f.Write(body)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(temp))
	}
	return os.Rename(temp, name)
}

func serial() (*big.Int, error) {
	b := make([]byte, 16)
	if _, err := rand.Read(b); err != nil {
		return nil, err
	}
	b[0] &= 0x7f
	return new(big.Int).SetBytes(b), nil
}

func loopback() []*net.IPNet {
	return []*net.IPNet{{IP: net.IPv4(127, 0, 0, 0).To4(), Mask: net.CIDRMask(8, 32)}, {IP: net.IPv6loopback, Mask: net.CIDRMask(128, 128)}}
}

func single(a net.IP) *net.IPNet {
	if v4 := a.To4(); v4 != nil {
		return &net.IPNet{IP: v4, Mask: net.CIDRMask(32, 32)}
	}
	return &net.IPNet{IP: a, Mask: net.CIDRMask(128, 128)}
}

// outside is the first that somebody asked for and the authority cannot vouch
// for.
func (a *authority) outside(p Places) string {
	for _, n := range p.Asked {
		if ip := net.ParseIP(n); ip != nil && !a.vouches(ip) || ip == nil && !a.names(n) {
			return n
		}
	}
	return ""
}

// within is what the authority can vouch for of these places.
func (a *authority) within(p Places) Places {
	p.Names = slices.DeleteFunc(slices.Clone(p.Names), func(n string) bool { return !a.names(n) })
	p.Addresses = slices.DeleteFunc(slices.Clone(p.Addresses), func(ip net.IP) bool { return !a.vouches(ip) })
	if len(p.Names) == 0 {
		p.Names = a.cert.PermittedDNSDomains[1:]
	}
	return p
}

func (a *authority) names(n string) bool {
	return slices.ContainsFunc(a.cert.PermittedDNSDomains, func(d string) bool {
		return strings.EqualFold(n, d) || strings.HasSuffix(strings.ToLower(n), "."+strings.ToLower(d))
	})
}

func (a *authority) vouches(ip net.IP) bool {
	return slices.ContainsFunc(a.cert.PermittedIPRanges, func(n *net.IPNet) bool { return n.Contains(ip) })
}

// covers lists what the authority can vouch for.
func (a *authority) covers() []string {
	out := slices.Clone(a.cert.PermittedDNSDomains)
	for _, n := range a.cert.PermittedIPRanges {
		out = append(out, n.String())
	}
	return out
}

// fingerprint is the SHA-256 of a certificate, in pairs of capital digits.
func fingerprint(der []byte) string {
	sum := sha256.Sum256(der)
	var out []string
	for _, b := range sum {
		out = append(out, strings.ToUpper(string("0123456789abcdef"[b>>4])+string("0123456789abcdef"[b&15])))
	}
	return strings.Join(out, ":")
}
