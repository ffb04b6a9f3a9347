package assets

import _ "embed" // the files are variables

// Viewer is the script that turns the 3D model on a page: built by
// .ci/bundle.mjs from web/src and three.js, whose licence stands at its head and
// in web/three.LICENSE.txt. It is ASCII and holds nothing that ends a script
// element.
//
//go:embed web/viewer.js
var Viewer string

// PageStyle is how a page looks, on the screen and on paper.
//
//go:embed web/page.css
var PageStyle string
