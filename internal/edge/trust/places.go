package trust

import (
	"net"
	"os"
	"slices"
	"strings"

	"fettle/internal/base/fault"
)

// Here finds the places of this machine: the names that were asked for and its
// own, and its addresses in private networks, with these networks. Where the
// site listens on one address alone, only that counts.
func Here(asked []string, on net.IP) Places {
	var p Places
	add := func(n string) {
		n = strings.ToLower(strings.TrimSuffix(n, "."))
		if ip := net.ParseIP(n); ip != nil {
			if !slices.ContainsFunc(p.Addresses, ip.Equal) {
				p.Addresses = append(p.Addresses, ip)
			}
			return
		}
		if n != "" && n != "localhost" && !slices.Contains(p.Names, n) && Name(n) == nil {
			p.Names = append(p.Names, n)
		}
	}
	for _, n := range asked {
		if p.Asked = append(p.Asked, strings.TrimSuffix(n, ".")); n != "localhost" {
			add(n)
		}
	}
	if h, err := os.Hostname(); err == nil {
		add(h)
		if !strings.Contains(h, ".") {
			add(h + ".local") // as multicast DNS (RFC 6762) has it
		}
	}
	if len(p.Names) == 0 {
		p.Names = []string{"fettle.local"}
	}
	list, err := net.InterfaceAddrs()
	if err != nil {
		return p
	}
	for _, a := range list {
		n, ok := a.(*net.IPNet)
		if !ok || n.IP.IsLoopback() || !n.IP.IsPrivate() {
			continue
		}
		if on != nil && !on.IsUnspecified() && !on.Equal(n.IP) {
			continue
		}
		add(n.IP.String())
		p.Networks = append(p.Networks, &net.IPNet{IP: n.IP.Mask(n.Mask), Mask: n.Mask})
	}
	if on != nil && !on.IsUnspecified() && !on.IsLoopback() {
		add(on.String())
	}
	return p
}

// Name says what is wrong with a name of a host, or nil (RFC 1123, 2.1).
func Name(n string) error {
	bad := n == "" || len(n) > 253
	for _, label := range strings.Split(n, ".") {
		bad = bad || label == "" || len(label) > 63 || label[0] == '-' || label[len(label)-1] == '-'
		for _, c := range label {
			bad = bad || !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-')
		}
	}
	if bad {
		return fault.New(fault.Invalid, "trust.bad-name", "found", n)
	}
	return nil
}
