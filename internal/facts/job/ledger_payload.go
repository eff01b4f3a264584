package job

// QuoteV1 is a quote that left the shop. The file itself is kept under its
// digest; what stands here is what an approval and a reminder need.
type QuoteV1 struct {
	Number  int        `json:"number"` // counts from 1 in this job
	Digest  string     `json:"digest"` // SHA-256 of the file
	Until   string     `json:"until"`  // last day it holds, YYYY-MM-DD
	Options []QuotedV1 `json:"options"`
}

// QuotedV1 is one option of a quote. Amounts carry their currency and include tax.
type QuotedV1 struct {
	Option  string `json:"option"`
	Low     string `json:"low"`
	Safe    string `json:"p80"`
	High    string `json:"high"`
	Deposit string `json:"deposit"`
	Half    string `json:"date_p50"`
	Four    string `json:"date_p80"`
}

// ApprovalV1 is a customer's yes, to a quote or to a change order.
type ApprovalV1 struct {
	Quote  string `json:"quote"`            // digest of the quote
	Option string `json:"option,omitempty"` // of the quote
	Change int    `json:"change,omitempty"` // number of a change order; then no option
	Means  string `json:"means"`
	Who    string `json:"who"` // opaque id of who said so
	On     string `json:"on"`  // YYYY-MM-DD
	Scan   string `json:"scan,omitempty"`
	Note   string `json:"note,omitempty"`
}

// ChangeOrderV1 is a change after approval. Amounts are signed: what it adds.
type ChangeOrderV1 struct {
	Number int       `json:"number"` // counts from 1 in this job
	Quote  string    `json:"quote"`  // digest of the quote that it changes
	What   string    `json:"what"`
	Why    string    `json:"why"`
	Low    string    `json:"low"`
	High   string    `json:"high"`
	Days   int       `json:"days"` // by which the date moves
	Waste  []WasteV1 `json:"waste,omitempty"`
}

// WasteV1 is work that was done and that the change makes useless.
type WasteV1 struct {
	Operation string `json:"operation"`
	Minutes   int    `json:"minutes"` // spent, from the entries of the work
	Amount    string `json:"amount"`
}

// InvoiceV1 is money asked for.
type InvoiceV1 struct {
	Number string `json:"number"`
	Amount string `json:"amount"`
	On     string `json:"on"`
	Note   string `json:"note,omitempty"`
}

// PaidV1 is money that came: a deposit before the work, or a payment.
type PaidV1 struct {
	Amount string `json:"amount"`
	On     string `json:"on"`
	Means  string `json:"means"`
	Note   string `json:"note,omitempty"`
}

// HandedOverV1 is an engine that left.
type HandedOverV1 struct {
	To   string `json:"to"`
	Note string `json:"note,omitempty"`
}
