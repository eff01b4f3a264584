package entry

// Kind names what an entry records. A kind that a release does not know is
// kept, chained and shown as not understood.
type Kind string

// The kinds reserved from the first release.
const (
	JobOpened      Kind = "job opened"
	FamilyRepinned Kind = "family repinned"
	Intake         Kind = "intake"
	Cleaned        Kind = "cleaned"
	Tested         Kind = "tested"
	Tagged         Kind = "tagged"
	Reading        Kind = "reading"
	Correction     Kind = "correction"
	Withdrawal     Kind = "withdrawal"
	Swapped        Kind = "positions swapped"
	Answered       Kind = "question answered"
	Observation    Kind = "observation"
	Photo          Kind = "photo"
	Decision       Kind = "decision"
	Approval       Kind = "approval"
	ChangeOrder    Kind = "change order"
	Order          Kind = "order"
	Received       Kind = "received"
	Allocated      Kind = "allocated"
	Started        Kind = "operation started"
	Stopped        Kind = "operation stopped"
	Done           Kind = "operation done"
	Waiting        Kind = "waiting"
	Overridden     Kind = "gate overridden"
	Tightened      Kind = "tightened"
	Signed         Kind = "signed"
	Issued         Kind = "issued"
	HandedOver     Kind = "handed over"
	ReportedBack   Kind = "reported back"
	Remark         Kind = "note"
	NotMeasured    Kind = "not measured"
	QuoteIssued    Kind = "quote issued"
	Deposit        Kind = "deposit"
	Invoice        Kind = "invoice"
	Payment        Kind = "payment"
	OutsideOut     Kind = "outside work out"
	OutsideIn      Kind = "outside work in"

	// Kinds of the shop stream.
	PersonKnown  Kind = "person known"
	GaugeKnown   Kind = "gauge known"
	MachineKnown Kind = "machine known"
	FixtureKnown Kind = "fixture known"
	Calibrated   Kind = "calibrated"
	MasterCheck  Kind = "master check"
	Supplier     Kind = "supplier"
	Lot          Kind = "lot"
	Price        Kind = "price"
	Carriage     Kind = "carriage"
	GoodsIn      Kind = "goods in"
	LotLeft      Kind = "lot left"
	Customer     Kind = "customer"
	Terms        Kind = "terms"

	// Kinds of the door stream.
	OwnerSetUp     Kind = "owner set up"
	SignedIn       Kind = "signed in"
	SignInFailed   Kind = "sign-in failed"
	SignedOut      Kind = "signed out"
	Locked         Kind = "locked"
	Enrolled       Kind = "device enrolled"
	Revoked        Kind = "device revoked"
	PersonDisabled Kind = "person disabled"
	PersonEnabled  Kind = "person enabled"
	SecretSet      Kind = "secret set"
	DoorLimits     Kind = "door limits"
)

// Kinds lists every reserved kind.
func Kinds() []Kind {
	return []Kind{JobOpened, FamilyRepinned, Intake, Cleaned, Tested, Tagged, Reading, Correction, Withdrawal,
		Swapped, Answered, Observation, Photo, Decision, Approval, ChangeOrder, Order, Received, Allocated, Started,
		Stopped, Done, Waiting, Overridden, Tightened, Signed, Issued, HandedOver, ReportedBack, Remark, NotMeasured, QuoteIssued, Deposit, Invoice, Payment, OutsideOut, OutsideIn,
		PersonKnown, GaugeKnown, MachineKnown, FixtureKnown, Calibrated, MasterCheck, Supplier, Lot, Price, Carriage, GoodsIn, LotLeft, Customer, Terms,
		OwnerSetUp, SignedIn, SignInFailed, SignedOut, Locked, Enrolled, Revoked, PersonDisabled, PersonEnabled, SecretSet, DoorLimits}
}
