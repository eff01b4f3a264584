package bench

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"fettle/internal/base/cite"
	"fettle/internal/edge/store"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/know/source"
)

const draftID = "d0"

// fields are what a sheet sends: those of the bore's limit for reuse.
func fields(more ...string) map[string]string {
	f := map[string]string{"block/bore.limits[1].min": "88,997", "block/bore.limits[1].max": "89,060", "block/bore.limits[1].source": "",
		"block/bore.limits[1].status": ""}
	for i := 0; i+1 < len(more); i += 2 {
		f[more[i]] = more[i+1]
	}
	return f
}

func manual() source.Source {
	return source.Source{Title: "Workshop manual, synthetic", Kind: "book", Seen: "read", Place: "page 7"}
}

func TestNothingUnlabelledIsSaved(t *testing.T) {
	b, _ := open(t)
	if err := b.BeginDraft(draftID, Start{Base: "brae-05-1", ID: "own-1", Name: "Own one"}); err != nil {
		t.Fatal(err)
	}
	in := TypedSheet{Component: "block", Mark: ',', Fields: fields()}
	want := map[string]string{"block/bore.limits[1].source": "revise.no-source", "block/bore.limits[1].status": "revise.no-status"}
	if got := keysOf(b.EditDraft(draftID, in)); len(got) != 2 || got["block/bore.limits[1].source"] != want["block/bore.limits[1].source"] ||
		got["block/bore.limits[1].status"] != want["block/bore.limits[1].status"] {
		t.Errorf("an unlabelled limit gives %v", got)
	}
	for _, c := range []struct{ field, value, key, at string }{
		{"block/bore.limits[1].max", "89,060 kg", "bench.wrong-unit", ""}, {"block/bore.limits[1].max", "89.060", "unit.other-mark", ""},
		{"block/bore.limits[1].max", "80", "family.min-above-max", "block/bore.limits[1].min"}, {"block/bore.limits[1].source", "hearsay", "bench.unknown-source", ""},
		{"block/bore.limits[1].status", "sure", "revise.bad-status", ""}, {"block/bore.limits[1].drop", "yes", "revise.no-reason", "block/bore.limits[1].reason"},
		{"block/bore.nominal", "1e3", "unit.not-a-number", ""}, {"block/bore.limits[0].min", "", "bench.drop-instead", ""},
	} {
		in.Fields = fields(c.field, c.value, "block/bore.limits[0].max", "")
		if c.at == "" {
			c.at = c.field
		}
		if !strings.Contains(c.field, "[0]") {
			delete(in.Fields, "block/bore.limits[0].max")
		}
		if got := keysOf(b.EditDraft(draftID, in)); got[c.at] != c.key {
			t.Errorf("%s %q gives %v", c.field, c.value, got)
		}
	}
	d, err := b.Draft(draftID)
	if err != nil || len(d.Patch.Changes) != 0 || len(d.Patch.Sources) != 0 {
		t.Errorf("something was saved: %+v, %v", d.Patch, err)
	}
	in.Fields, in.From = fields(), TypedIn
	if got := keysOf(b.EditDraft(draftID, in)); got["source.title"] != "bench.no-source-title" {
		t.Errorf("a source without a title gives %v", got)
	}
	// The label of the page is that of every limit changed on it which has none
	// of its own, and of no other.
	in.Fields, in.Source, in.Status = fields("block/bore.nominal", "89,0120", "block/bore.limits[0].min", "88,997", "block/bore.limits[0].max", "89,027"), manual(), "manual in hand"
	for range 2 { // sent twice it is the same
		if err := b.EditDraft(draftID, in); err != nil {
			t.Fatal(err)
		}
	}
	if d, err = b.Draft(draftID); err != nil || !d.Sound() || len(d.Patch.Sources) != 1 || len(d.Patch.Changes) != 1 {
		t.Fatalf("%+v, %v, %v", d.Patch, d.Faults, err)
	}
	if c := d.Patch.Changes[0]; c.New != "min 88.997 mm, max 89.060 mm" || c.Source != "workshop-manual-synthetic" || c.Status != cite.ManualInHand {
		t.Errorf("saved %+v", c)
	}
	// Another sheet leaves this one alone, and this one sent as it was takes its change back.
	if err := b.EditDraft(draftID, TypedSheet{Mark: '.', Fields: map[string]string{"engine.stroke": "81.00", "engine.oversizes": "0.25; 0.50 mm; 0.75", "engine.firing_order": "1"}}); err != nil {
		t.Fatal(err)
	}
	if d, err = b.Draft(draftID); err != nil || len(d.Patch.Changes) != 4 || !d.Sound() {
		t.Errorf("%+v %v %v", d.Patch.Changes, d.Faults, err)
	}
	if err := b.EditDraft(draftID, TypedSheet{Component: "block", Mark: '.', Fields: map[string]string{"block/bore.limits[1].min": "88.997", "block/bore.limits[1].max": "89.047",
		"block/bore.limits[1].source": "workshop-manual-synthetic", "block/bore.limits[1].status": "manual in hand"}}); err != nil {
		t.Fatal(err)
	}
	if d, _ = b.Draft(draftID); len(d.Patch.Changes) != 3 {
		t.Errorf("the change was not taken back: %+v", d.Patch.Changes)
	}
	// A draft may be unsound; it says so and cannot be taken up.
	if err := b.EditDraft(draftID, TypedSheet{Mark: '.', Fields: map[string]string{"engine.rod": "30 mm"}}); err != nil {
		t.Fatal(err)
	}
	d, _ = b.Draft(draftID)
	if d.Sound() || len(d.Faults) != 1 || d.Faults[0].Key != "family.short-rod" || d.Faults[0].Line == 0 {
		t.Errorf("a short rod gives %v", d.Faults)
	}
	if _, err := b.Adopt(context.Background(), draftID, "p-1"); keysOf(err)["engine.rod"] != "family.short-rod" {
		t.Errorf("an unsound draft was taken up: %v", err)
	}
}

func TestStartOfADraft(t *testing.T) {
	b, _ := open(t)
	for _, c := range []struct {
		s          Start
		field, key string
	}{{Start{Base: "none", ID: "x", Name: "X"}, "base", "bench.no-family"}, {Start{Base: "brae-05-1", Name: "X"}, "id", "bench.no-id"},
		{Start{Base: "brae-05-1", ID: "brae-05-1", Name: "X"}, "id", "family.taken"}, {Start{Base: "brae-05-1", ID: "own-1"}, "name", "bench.no-name"},
		{Start{Base: "brae-05-1", ID: "A b", Name: "X"}, "id", "revise.bad-id"}} {
		if got := keysOf(b.BeginDraft(draftID, c.s)); got[c.field] != c.key {
			t.Errorf("%+v gives %v", c.s, got)
		}
	}
	if list, err := b.Drafts(); err != nil || len(list) != 0 {
		t.Errorf("drafts %v, %v", list, err)
	}
	if _, err := b.Draft("none"); keysOf(err)[""] != "store.no-draft" {
		t.Errorf("a draft that is not there: %v", err)
	}
}

// A family is revised while a job is open: the job stays on the version it was
// opened with until an entry moves it, and the preview says what would change.
func TestOpenJobsStayOnTheirVersion(t *testing.T) {
	b, st := open(t)
	ctx := context.Background()
	// 89.055 mm lies above the limit for reuse, 89.047 mm, by more than any doubt.
	if _, err := b.RecordReading(ctx, reading(300, "89.055")); err != nil {
		t.Fatal(err)
	}
	verdict := func() assess.Verdict {
		t.Helper()
		j, err := b.Judge(ctx, "j-1")
		if err != nil {
			t.Fatal(err)
		}
		v, _ := j.Assessment.Find(bore, job.Found)
		return v.Verdict
	}
	if v := verdict(); v != assess.Reject {
		t.Fatalf("before: %s", v)
	}
	first := b.Library().Digests["brae-05-1"]
	revisionOf(t, b, "89.060")
	second := b.Library().Digests["brae-05-1"]
	if first == second || !b.Own("brae-05-1") {
		t.Fatal("the revision does not hold")
	}
	j, err := b.Judge(ctx, "j-1")
	if err != nil || j.Layout.Digest != first || j.Newest.Digest != second || j.Assessment.Digest != first {
		t.Fatalf("judged by %s, holds %s, says %s, %v", j.Layout.Digest, j.Newest.Digest, j.Assessment.Digest, err)
	}
	if v := verdict(); v != assess.Reject {
		t.Errorf("the open job is judged %s by the revision", v)
	}
	r, _, err := b.PreviewRepin(ctx, "j-1")
	if err != nil || !r.Exact || len(r.Changes) != 1 || r.Changes[0].Position != bore || r.Changes[0].After == assess.Reject || len(r.Gone) != 0 {
		t.Fatalf("the preview says %+v, %v", r, err)
	}
	if v := verdict(); v != assess.Reject {
		t.Error("the preview changed the job")
	}
	in := Move{Job: "j-1", To: first, Reason: " ", Person: "p-9", Device: "test", Key: key(301)}
	if got := keysOf(second2(b.Repin(ctx, in))); got["to"] != "bench.other-version" || got["reason"] != "bench.no-reason" || got["person"] != "bench.unknown-person" {
		t.Errorf("a bad move gives %v", got)
	}
	in.To, in.Reason, in.Person = second, "the manual is here", "p-1"
	got, err := b.Repin(ctx, in)
	if err != nil {
		t.Fatal(err)
	}
	again, err := b.Repin(ctx, in)
	if err != nil || !again.Again || again.Seq != got.Seq {
		t.Errorf("sent twice: %+v, %v", again, err)
	}
	if v := verdict(); v != r.Changes[0].After {
		t.Errorf("after the move %s, previewed %s", v, r.Changes[0].After)
	}
	in.Key = key(302)
	if got := keysOf(second2(b.Repin(ctx, in))); got["to"] != "bench.no-other-version" {
		t.Errorf("a move to where it stands gives %v", got)
	}
	// After a restart the job stands on the same version, and a job on the
	// first finds that one too.
	if _, err := b.Open(ctx, job.OpenedV1{Job: "j-2", Title: "Another", Family: "brae-05-1"}, "p-1", "test", key(303)); err != nil {
		t.Fatal(err)
	}
	revisionOf(t, b, "89.070")
	lib, _ := shelf()
	fresh := New(st, lib, b.clock)
	if faults, err := fresh.TakeOwn(); err != nil || len(faults) > 0 {
		t.Fatalf("%v, %v", faults, err)
	}
	if j, err = fresh.Judge(ctx, "j-2"); err != nil || j.Layout.Digest != second || j.Newest.Digest == second || j.Newest.Family.Revises != second {
		t.Errorf("after a restart judged by %s, %v", j.Layout.Digest, err)
	}
	if list, err := fresh.Jobs(ctx); err != nil || len(list) != 2 || list[0].Problem != nil {
		t.Errorf("jobs %+v, %v", list, err)
	}
}

func second2(_ Receipt, err error) error { return err }

// revisionOf takes up a revision of the single with another limit of the bore.
func revisionOf(t *testing.T, b *Bench, most string) {
	t.Helper()
	id := "r-" + most[3:]
	if err := b.BeginDraft(id, Start{Base: "brae-05-1", Revision: true}); err != nil {
		t.Fatal(err)
	}
	f := map[string]string{"block/bore.limits[1].min": "88.997", "block/bore.limits[1].max": most, "block/bore.limits[1].source": TypedIn, "block/bore.limits[1].status": "copied table"}
	s := manual()
	s.Place = "page " + most
	if err := b.EditDraft(id, TypedSheet{Component: "block", Mark: '.', Fields: f, Source: s}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Adopt(context.Background(), id, "p-1"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Draft(id); err == nil {
		t.Error("the draft is still there")
	}
}

// Two drafts of one base: the second to be taken up says that its base no
// longer holds. A family of its own does not mind.
func TestASecondRevisionBeginsAnew(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	for id, s := range map[string]Start{"a1": {Base: "brae-05-1", Revision: true}, "a2": {Base: "brae-05-1", Revision: true}, "a3": {Base: "brae-05-1", ID: "own-1", Name: "Own"},
		"a4": {Base: "brae-05-1", ID: "own-1", Name: "Own too"}} {
		if err := b.BeginDraft(id, s); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct{ id, key string }{{"a1", ""}, {"a2", "bench.old-base"}, {"a3", ""}, {"a4", "family.taken"}} {
		if _, err := b.Adopt(ctx, c.id, "p-1"); keysOf(err)["id"] != c.key || (c.key == "") != (err == nil) {
			t.Errorf("%s: %v", c.id, err)
		}
	}
	if d, err := b.Draft("a2"); err != nil || !d.Moved {
		t.Errorf("the draft does not say that its base has moved: %v", err)
	}
}

// What lies in the folder by hand is taken up only where it may.
func TestOwnFolderMayNotReplaceSilently(t *testing.T) {
	b, _ := open(t)
	text, err := os.ReadFile(data + "/family/brae-05-1.yaml")
	if err != nil {
		t.Fatal(err)
	}
	put := func(id string, text []byte) {
		if err := b.store.PutFamily(store.OwnFamily{ID: id, Digest: "x", Text: text}, ""); err != nil {
			t.Fatal(err)
		}
	}
	first := b.Library().Digests["brae-05-1"]
	put("brae-05-1", text)
	put("other-1", text)
	put("broken-1", []byte("fettle: family/1\nid: broken-1\n"))
	put("good-1", bytes.Replace(text, []byte("id: brae-05-1"), []byte("id: good-1"), 1))
	faults, err := b.TakeOwn()
	said := map[string]string{}
	for _, f := range faults {
		said[f.File] = f.Key
	}
	if err != nil || said["family/brae-05-1.yaml"] != "family.taken" || said["family/other-1.yaml"] != "family.other-file" || said["family/broken-1.yaml"] == "" || len(said) != 3 {
		t.Errorf("%v, %v", said, err)
	}
	if b.Library().Digests["brae-05-1"] != first || b.Library().Families["good-1"] == nil || b.Own("brae-05-1") || !b.Own("good-1") {
		t.Error("what holds is not what may")
	}
}
