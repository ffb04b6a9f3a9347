package verify_test

import (
	"testing"

	"undercroft/fit/internal/faulty"
)

// A fault in the verifier does not go unseen.
func TestFaultsAreSeen(t *testing.T) {
	t.Parallel()
	const all = "TestKeeps|TestTiny|TestMeasure|TestVerifier"
	faulty.Planted(t, 3, []faulty.Fault{
		{
			What: "what turns is taken to move straight", File: "verify.go",
			Was:  "return (h0+h1)/2 + bulge + rise*rise/(16*bulge)",
			Is:   "return max(h0, h1)",
			Seen: all,
		},
		{
			What: "corners swing by nothing", File: "verify.go",
			Was:  "swing := c.off * across",
			Is:   "swing := 0 * c.off * across",
			Seen: all,
		},
		{
			What: "what is near is not looked at", File: "verify.go",
			Was:  "if p.low >= m.enough {",
			Is:   "if p.low >= m.enough-5 {",
			Seen: all,
		},
		{
			What: "a body that turns and moves is taken to turn alone", File: "verify.go",
			Was:  "past := 2 * angle * r3.Norm(r3.Sub(c1, c0))",
			Is:   "past := 0 * angle * r3.Norm(r3.Sub(c1, c0))",
			Seen: all,
		},
		{
			What: "half a turn goes any way", File: "verify.go",
			Was:  "path.Angle(i-1) > math.Pi-1e-6",
			Is:   "path.Angle(i-1) > math.Pi+1",
			Seen: "TestNoPath|" + all,
		},
		{
			What: "a turn may stretch", File: "verify.go",
			Was:  "<= unitTolerance)",
			Is:   "<= unitTolerance+1)",
			Seen: "TestNoPath|" + all,
		},
		{
			What: "half of a piece is left out", File: "verify.go",
			Was:  "piece{pair: p.pair, leg: p.leg, t0: half, t1: p.t1, p0: mid, p1: p.p1, low: math.Inf(-1), dir: p.dir, depth: p.depth + 1})",
			Is:   "piece{pair: p.pair, leg: p.leg, t0: half, t1: half, p0: mid, p1: mid, low: math.Inf(-1), dir: p.dir, depth: p.depth + 1})",
			Seen: all,
		},
	})
}
