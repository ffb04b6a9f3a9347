package page_test

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"undercroft/assets"
)

// luminance returns the relative luminance of a colour as #rrggbb.
//
// Source: W3C, Web Content Accessibility Guidelines 2.2 (2023), "relative
// luminance".
func luminance(t *testing.T, c string) float64 {
	t.Helper()
	var l float64
	for i, share := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(c[1+2*i:3+2*i], 16, 8)
		if err != nil {
			t.Fatalf("colour %q: %v", c, err)
		}
		v := float64(n) / 255
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		l += share * v
	}
	return l
}

// contrast returns the contrast ratio of two colours, as those guidelines have
// it.
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	la, lb := luminance(t, a), luminance(t, b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// palettes returns the colours of the page by name, by daylight and in the dark.
func palettes(t *testing.T) (light, dark map[string]string) {
	t.Helper()
	blocks := regexp.MustCompile(`:root \{([^}]*)\}`).FindAllStringSubmatch(assets.PageStyle, -1)
	if len(blocks) < 2 {
		t.Fatal("the style has no two palettes")
	}
	light, dark = map[string]string{}, map[string]string{}
	entry := regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]{6});`)
	for _, m := range entry.FindAllStringSubmatch(blocks[0][1], -1) {
		light[m[1]], dark[m[1]] = m[2], m[2]
	}
	for _, m := range entry.FindAllStringSubmatch(blocks[1][1], -1) {
		dark[m[1]] = m[2]
	}
	if light["paper"] == dark["paper"] {
		t.Fatal("the palettes are one")
	}
	return light, dark
}

func TestContrastIsEnough(t *testing.T) {
	t.Parallel()
	if c := contrast(t, "#000000", "#ffffff"); math.Abs(c-21) > 1e-9 {
		t.Fatalf("black on white is %v, must be 21", c)
	}
	// Success criteria 1.4.3 (text) and 1.4.11 (what is no text).
	const text, sign = 4.5, 3.0
	light, dark := palettes(t)
	for name, p := range map[string]map[string]string{"light": light, "dark": dark} {
		for _, tt := range []struct {
			on, under string
			least     float64
		}{
			{"ink", "paper", text},
			{"soft", "paper", text},
			{"link", "paper", text},
			{"paper", "ink", text}, // a pin that is pressed
			{"rule", "paper", sign},
			{"edge", "paper", sign},
			// A sign of a verdict: its stroke on its colour, its outline on paper.
			{"on-mark", "ok", sign},
			{"on-mark", "no", sign},
			{"under-mark", "tight", sign},
			{"under-mark", "unsure", sign},
		} {
			if p[tt.on] == "" || p[tt.under] == "" {
				t.Fatalf("%s: there is no colour %s or %s", name, tt.on, tt.under)
			}
			if c := contrast(t, p[tt.on], p[tt.under]); c < tt.least {
				t.Errorf("%s: %s on %s has a contrast of %.2f, at least %v is wanted", name, tt.on, tt.under, c, tt.least)
			}
		}
	}
}
