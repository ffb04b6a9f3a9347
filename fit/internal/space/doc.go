// Package space searches the places and turns of a rigid body on its way through
// an opening. It looks along y, the opening's normal: for one turn of a convex
// body and one depth y of its reference point, what a layer with a rectangular
// hole leaves free is exactly a rectangle of (x, z). So turns and depth are split
// into cells, and x and z stay exact. In a room of layers alone what is shut at one
// turn is shut over whole intervals of depths, for how far a convex body reaches
// within a slab is concave over its depth; then only turns are split, and each cell
// has its depths in bands. Boxes count in bands where nothing leads past them
// (beside.go). By holes of other sides the body may reach out (gate.go): of it then
// counts what is surely inside.
//
// A Lattice finds ways, which are to be verified. Cover and Search find proofs
// that there is none, as trees of cells, which are to be checked: Cover at one depth,
// Search over all, by keeping the cheapest ways through what may be free (ways.go)
// and splitting the cells where these get across what it would take least to shut
// (barrier.go). Millimetres and radians.
//
// Related work: C. Wang, Y.-J. Chiang, C. Yap, "On soft predicates in subdivision
// motion planning", Proc. 29th Symposium on Computational Geometry (2013);
// D. Halperin, M. Sharir, I. Yehuda, "Throwing a sofa through the window",
// arXiv 2102.04262.
package space
