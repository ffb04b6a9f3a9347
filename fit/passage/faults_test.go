package passage_test

import (
	"testing"

	"undercroft/fit/internal/faulty"
)

// A fault in how a file is checked does not go unseen.
func TestFaultsAreSeen(t *testing.T) {
	t.Parallel()
	const files = "TestFilesHold|TestFilesOf|TestChangedFiles|TestWaysEndNearRest"
	faulty.Planted(t, 4, []faulty.Fault{
		{
			What: "a way may end anywhere", File: "proofs.go",
			Was:  "r3.Norm(from) <= near+verdict.Contact.MM()",
			Is:   "r3.Norm(from) <= 1e9",
			Seen: files,
		},
		{
			What: "a way may end turned", File: "proofs.go",
			Was:  "solid.AngleBetween(end.Turn, solid.Rest.Turn) <= still &&",
			Is:   "still > 0 &&",
			Seen: files,
		},
		{
			What: "the move to rest is not looked at", File: "proofs.go",
			Was:  "{last, -verdict.Contact.MM()}}",
			Is:   "{last, -1e9}}",
			Seen: files,
		},
		{
			What: "what reaches into a sump is not in the way", File: "proofs.go",
			Was:  "keeps(j.Open, leg.path, j.Reaching, leg.need)",
			Is:   "keeps(j.Open, leg.path, j.Reaching, -1e9)",
			Seen: files,
		},
		{
			What: "a way may begin inside", File: "proofs.go",
			Was:  "!(b.Max.Y <= verdict.Contact.MM())",
			Is:   "!(b.Max.Y <= 1e9)",
			Seen: files,
		},
		{
			What: "a way may come in beside the hole", File: "proofs.go",
			Was:  "if front && at.X >= hole.Min.X && at.X <= hole.Max.X && at.Z >= hole.Min.Z && at.Z <= hole.Max.Z {",
			Is:   "if front || at.X >= hole.Min.X {",
			Seen: files,
		},
		{
			What: "the tape is not allowed for", File: "proofs.go",
			Was:  "if !(pr.Erosion >= (p.Tape+contacts).MM()-rounding) {",
			Is:   "if !(pr.Erosion >= 0) {",
			Seen: files,
		},
		{
			What: "a ball may rest on a place that is assumed", File: "proofs.go",
			Was:  "if p.Opening.PlaceAssumed {\n\t\t\treturn errors.New(",
			Is:   "if p.Opening.PlaceAssumed && p.Tape < 0 {\n\t\t\treturn errors.New(",
			Seen: files,
		},
		{
			What: "an overlap within the tape counts", File: "proofs.go",
			Was:  "if !(o.Depth > (j.Tape + verdict.Contact).MM()) {",
			Is:   "if !(o.Depth > -1) {",
			Seen: files,
		},
	})
}
