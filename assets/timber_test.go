package assets_test

import (
	"math"
	"testing"

	"undercroft/assets"
	"undercroft/scene/unit"
)

// TestTimberTablesAreWhole holds that every row of the tables of timber and
// boards has its values and names its source.
func TestTimberTablesAreWhole(t *testing.T) {
	t.Parallel()
	if len(assets.LumberTable()) < 20 {
		t.Errorf("%d rows of lumber", len(assets.LumberTable()))
	}
	for _, l := range assets.LumberTable() {
		if l.Source == "" || l.Bending <= 0 || l.Shear <= 0 || l.BearingAcross <= 0 || l.Compression <= 0 || l.Emin <= 0 || l.E <= l.Emin {
			t.Errorf("lumber %+v", l)
		}
		if assets.TimberDensity(l.Species) < 400 || assets.TimberDensity(l.Species) > 700 {
			t.Errorf("%s weighs %v kg/m³", l.Species, assets.TimberDensity(l.Species))
		}
	}
	for _, c := range assets.TimberClasses() {
		if c.Source == "" || c.Bending <= 0 || c.E05 >= c.E || c.Density <= 0 {
			t.Errorf("class %+v", c)
		}
	}
	for _, p := range assets.Panels() {
		if p.Source == "" || p.Bending <= 0 || p.Compression <= 0 || p.ShearEdge <= 0 || p.ShearFlat <= 0 || p.E <= 0 || p.KMod <= 0 || p.GammaM < 1 {
			t.Errorf("board %+v", p)
		}
	}
	last := unit.Length(0)
	for _, f := range assets.SizeFactors() {
		if f.Source == "" || f.Dressed <= last || f.Bending < 0.9 || f.Bending4 < f.Bending {
			t.Errorf("size factor %+v after %v", f, last)
		}
		last = f.Dressed
	}
}

// TestDressedLumber checks sizes of PS 20 and what is no size.
func TestDressedLumber(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		nominal     string
		thick, wide float64 // in
		ok          bool
	}{
		{"2x4", 1.5, 3.5, true},
		{"2x10", 1.5, 9.25, true},
		{"4X4", 3.5, 3.5, true},
		{" 2 x 6 ", 1.5, 5.5, true},
		{"6x2", 0, 0, false},
		{"2x", 0, 0, false},
		{"ten", 0, 0, false},
		{"2x7", 0, 0, false},
	} {
		a, b, ok := assets.DressedLumber(c.nominal)
		if ok != c.ok || math.Abs(a.In()-c.thick) > 1e-12 || math.Abs(b.In()-c.wide) > 1e-12 {
			t.Errorf("DressedLumber(%q) = %v, %v in, %v; want %v, %v, %v", c.nominal, a.In(), b.In(), ok, c.thick, c.wide, c.ok)
		}
	}
}

// TestUnknownTimberIsHeavy holds that timber nobody named weighs as the heaviest.
func TestUnknownTimberIsHeavy(t *testing.T) {
	t.Parallel()
	for _, s := range assets.LumberSpecies() {
		if assets.TimberDensity("unknown") < assets.TimberDensity(s) {
			t.Errorf("unknown %v, %s %v", assets.TimberDensity("unknown"), s, assets.TimberDensity(s))
		}
	}
	if d := assets.TimberDensity("C24"); d != 420 {
		t.Errorf("C24 weighs %v, EN 338 says 420", d)
	}
}

// TestBodySizes checks percentiles of ANSUR II that were read, and that those of
// each row rise.
func TestBodySizes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		dimension, who string
		p5, p95        float64
	}{
		{"hand breadth", "man", 81, 96},
		{"hand breadth", "woman", 72, 85},
		{"forearm-hand length", "woman", 404, 480},
		{"biceps circumference, flexed", "man", 303, 418},
	} {
		b, ok := assets.Body(c.dimension, c.who)
		if !ok || b.P5.MM() != c.p5 || b.P95.MM() != c.p95 {
			t.Errorf("%s of a %s: %+v", c.dimension, c.who, b)
		}
	}
	for _, b := range assets.BodySizes() {
		if b.Source == "" || b.P95 <= 0 {
			t.Errorf("%+v", b)
		}
		if b.P5 > 0 && !(b.P5 < b.P50 && b.P50 < b.P95 && b.P95 < b.P99 && b.SD > 0) {
			t.Errorf("%s of a %s does not rise: %+v", b.Dimension, b.Who, b)
		}
	}
	if _, ok := assets.Body("tail length", "man"); ok {
		t.Error("a dimension nobody measured is there")
	}
}
