// Package view draws.
package view

import (
	_ "github.com/fogleman/fauxgl"
	_ "golang.org/x/image/font/opentype"
	_ "golang.org/x/image/font/gofont/goregular"
	_ "golang.org/x/image/vector"
)
