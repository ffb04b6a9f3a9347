// Package view draws the pictures of a plan as PNG: what was understood, the
// cabinet from the front, in section and from a corner, a close view of a
// place, and the steps of a way in.
//
// It draws convex parts and neutral marks and knows nothing of the checks
// behind them. Solids are rasterized without antialiasing on a frame several
// times as large and averaged down; lines of measure and text go on top in
// final pixels. Every picture has a raster of its own, so that pictures can be
// drawn at the same time, and is the same bytes on every run.
//
// Places are millimetres in the cabinet's frame, distances on paper are pixels.
package view
