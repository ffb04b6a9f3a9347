// Package choose turns the checks round: it tells which sump would fit a plan,
// and how large things may be.
//
// Choose tries sizes as the plan's sump, each where it stands best and with what
// the plan puts in it; Limits looks for the largest that go in. A yes is a way
// that was verified and a place where it stands; a no is a proof that holds for
// every place in the cabinet, not for the one that was tried. What one size proves
// is used for another only where every part of the smaller lies in a part of the
// larger, both at rest.
package choose
