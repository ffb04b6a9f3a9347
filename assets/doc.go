// Package assets holds the data that the program is built with: trade sizes,
// materials, timber and boards, body sizes, demo plans. Every row of a table
// names its source.
package assets
