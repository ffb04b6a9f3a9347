package plan

import (
	"strings"
)

// nearest returns the word of known that key most likely means; "" where none is
// near. Of equally near ones it is the first.
func nearest(key string, known []string) string {
	const longest = 40 // no key is that long
	k := plain(key)
	if len(k) > longest {
		return ""
	}
	best, least := "", (len(k)-1)/4+2 // one slip in a word of up to four letters, two in one of up to eight
	for _, w := range known {
		if d := slips(k, plain(w)); d < least && d < len(w) {
			best, least = w, d
		}
	}
	return best
}

// plain folds what people mix up in keys: capitals, _ and spaces for -.
func plain(key string) string {
	return strings.NewReplacer("_", "-", " ", "-").Replace(strings.ToLower(key))
}

// slips counts the letters to add, drop, change or swap with a neighbour to get
// from a to b.
func slips(a, b string) int {
	// Three rows of the table of distances between the starts of a and b.
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range len(a) {
		row[0] = i + 1
		for j := range len(b) {
			change := last[j]
			if a[i] != b[j] {
				change++
			}
			row[j+1] = min(change, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
