package bench

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/store"
	"fettle/internal/facts/certificate"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/gauge"
	"fettle/internal/know/instrument"
)

// Certificate is a digital calibration certificate as it is handed in.
type Certificate struct {
	Gauge  string // whose it is
	Name   string // of the file, for the places of faults
	File   []byte
	Result int    // which of its results, from 1; 0 where only one fits
	Due    string // day of the next calibration, as 2027-01-31; "" where none is set

	Person, Device string
	Key            entry.Key // zero takes one made of the content
	Time           int64     // writer's clock, µs; 0 takes the bench's
}

// Offer is what a certificate would do.
type Offer struct {
	Certificate *certificate.Certificate
	Result      int // which one is taken, from 1
	Remarks     []certificate.Remark
	Calibration shop.CalibratedV2
	Reopened    []Reopened
}

// Reopened is a job in which a calibration changes verdicts.
type Reopened struct {
	Job, Title string
	Changes    []gauge.Change
	Moved      int // values that move and keep their verdict
}

// Calibrated is what became of a certificate.
type Calibrated struct {
	Offer
	entry.Receipt
	Again bool // it was stored before; this is its first receipt
}

// OfferCalibration reads a certificate for a gauge of the shop, says what it
// holds and which verdicts it would change, and stores nothing.
func (b *Bench) OfferCalibration(ctx context.Context, in Certificate) (Offer, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Offer{}, err
	}
	o, e, err := b.offer(sh, in)
	if err != nil {
		return o, err
	}
	o.Reopened, err = b.reopens(ctx, sh, in.Gauge, e)
	return o, err
}

// Calibrate stores a certificate: first the file, byte for byte, then the entry
// that names it.
func (b *Bench) Calibrate(ctx context.Context, in Certificate) (Calibrated, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Calibrated{}, err
	}
	o, e, err := b.offer(sh, in)
	if err != nil {
		return Calibrated{Offer: o}, err
	}
	if faults := personFaults(sh, in.Person); len(faults) > 0 {
		return Calibrated{Offer: o}, faults
	}
	digest, err := b.store.PutFile(in.File)
	if err != nil {
		return Calibrated{Offer: o}, err
	}
	if digest != o.Calibration.File {
		panic("bench: two digests of one file")
	}
	c := Calibrated{Offer: o}
	c.Receipt, c.Again, err = b.writeShop(ctx, e)
	return c, err
}

// KeptFile reads the file of a certificate that an entry names.
func (b *Bench) KeptFile(digest string) ([]byte, error) { return b.store.File(digest) }

// offer checks a certificate against a gauge and makes the entry of it.
func (b *Bench) offer(sh *shop.State, in Certificate) (Offer, entry.Entry, error) {
	g, kind, faults := b.known(sh, in.Gauge, "gauge")
	if len(faults) > 0 {
		return Offer{}, entry.Entry{}, faults
	}
	c, remarks, err := certificate.Read(in.Name, in.File)
	if err != nil {
		return Offer{}, entry.Entry{}, err
	}
	o := Offer{Certificate: c, Remarks: remarks}
	if f := o.belongs(g); f != nil {
		faults = append(faults, f.In("file"))
	}
	r, f := o.choose(in.Result, kind)
	if f != nil {
		return o, entry.Entry{}, append(faults, f.In("result"))
	}
	cal := shop.CalibratedV2{CalibratedV1: shop.CalibratedV1{Gauge: in.Gauge, Certificate: cut(c.ID)}}
	sum := sha256.Sum256(in.File)
	cal.File = hex.EncodeToString(sum[:])
	faults = append(faults, b.dates(&cal, c, in.Due)...)
	if f := gauge.Curve(&cal, r, kind); f != nil {
		faults = append(faults, f.In("file"))
	}
	if err := faults.OrNil(); err != nil {
		return o, entry.Entry{}, err
	}
	o.Calibration = cal
	key := in.Key
	if key == (entry.Key{}) {
		key = b.unwithdrawn(sh, "calibrated", in.Gauge, cal.File, strconv.Itoa(o.Result), in.Due)
	}
	e, err := entry.New(entry.ShopStream, key, entry.Calibrated, in.Person, in.Device, b.when(in.Time), cal)
	e.Version = 2
	return o, e, err
}

// contentKey makes a key of what is said, so that saying it twice stores it
// once.
func contentKey(parts ...string) entry.Key {
	sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	return entry.Key(sum[:16])
}

// unwithdrawn is the key of what is said, or, where that was withdrawn, of its
// being said anew.
func (b *Bench) unwithdrawn(sh *shop.State, parts ...string) entry.Key {
	key := contentKey(parts...)
	for n := 2; ; n++ {
		c, _, _ := sh.Calibration(key.String())
		if c == nil || c.Void == nil {
			return key
		}
		key = contentKey(append(parts[:len(parts):len(parts)], strconv.Itoa(n))...)
	}
}

// known finds a gauge of the shop and its type.
func (b *Bench) known(sh *shop.State, id, field string) (*shop.Gauge, instrument.Instrument, fault.List) {
	g := sh.Gauges[id]
	if g == nil {
		return nil, instrument.Instrument{}, fault.List{fault.New(fault.Missing, "bench.unknown-gauge", "found", id).In(field)}
	}
	kind, ok := b.library.Instruments[g.Type]
	if !ok {
		return nil, kind, fault.List{fault.New(fault.Missing, "bench.no-type", "found", id, "type", g.Type).In(field)}
	}
	return g, kind, nil
}

// belongs checks that the certificate is of this gauge: a number of its own
// stands in it, or nobody has given the gauge one.
func (o *Offer) belongs(g *shop.Gauge) *fault.Fault {
	var seen []string
	for _, i := range o.Certificate.Items {
		if g.Serial != "" && i.Serial == g.Serial || i.Owner == g.GaugeV1.Gauge {
			return nil
		}
		seen = append(seen, i.Serial)
	}
	if g.Serial == "" {
		o.remark("bench.no-serial", "found", strings.Join(seen, ", "))
		return nil
	}
	return fault.New(fault.Conflict, "bench.other-serial", "found", strings.Join(seen, ", "), "expected", g.Serial)
}

func (o *Offer) remark(key string, pairs ...string) {
	args := fault.Args{}
	for i := 0; i+1 < len(pairs); i += 2 {
		args[pairs[i]] = pairs[i+1]
	}
	o.Remarks = append(o.Remarks, certificate.Remark{Key: key, Args: args})
}

// choose takes the result that was asked for, or the only one of the gauge's
// kind of quantity.
func (o *Offer) choose(n int, kind instrument.Instrument) (*certificate.Result, *fault.Fault) {
	var fit, names []string
	all := o.Certificate.Results
	for i := range all {
		if all[i].Points[0].Expanded.Dim == kind.Resolution.Dim {
			fit = append(fit, strconv.Itoa(i+1))
			names = append(names, strconv.Itoa(i+1)+": "+all[i].Name)
			o.Result = i + 1
		}
	}
	asked := strconv.Itoa(n)
	switch {
	case len(fit) == 0:
		return nil, fault.New(fault.Invalid, "bench.no-result", "expected", kind.Quantity)
	case n == 0 && len(fit) > 1:
		return nil, fault.New(fault.Invalid, "bench.which-result", "expected", strings.Join(names, "; "))
	case n != 0 && !contains(fit, asked):
		return nil, fault.New(fault.Invalid, "bench.other-result", "found", asked, "expected", strings.Join(names, "; "))
	case n != 0:
		o.Result = n
	}
	return &all[o.Result-1], nil
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

const dayForm = "2006-01-02"

// dates sets when the calibration holds from, the last day of the work, and
// when the next is due.
func (b *Bench) dates(cal *shop.CalibratedV2, c *certificate.Certificate, due string) (faults fault.List) {
	end, err := time.Parse(dayForm, c.End)
	if err != nil {
		panic("bench: the certificate's date was checked: " + err.Error())
	}
	if cal.Date = end.UnixMicro(); cal.Date > b.now() || cal.Date <= 0 {
		faults = append(faults, fault.New(fault.Invalid, "bench.future", "found", c.End).In("file"))
	}
	if due == "" {
		return faults
	}
	next, err := time.Parse(dayForm, due)
	if err != nil || !next.After(end) {
		return append(faults, fault.New(fault.Invalid, "bench.due", "found", cut(due), "end", c.End).In("due"))
	}
	cal.Due = next.UnixMicro()
	return faults
}

func cut(s string) string {
	if r := []rune(s); len(r) > mostNote {
		return string(r[:mostNote])
	}
	return s
}

// MostCertificate is the largest certificate that is taken.
const MostCertificate = min(certificate.MostBytes, store.MostFile)
