package unit

import (
	"math/big"
	"strings"
	"unicode"
)

// A scanner reads numbers and units off a text, without regard to how the marks
// are typed. Its methods return why they fail, "" where they do not.
type scanner struct {
	text []rune
	pos  int
}

// longest bounds a quantity's text, so that no number takes long to read.
const longest = 60

var marks = strings.NewReplacer(
	"″", `"`, "”", `"`, "“", `"`, "''", `"`, "′′", `"`, "’’", `"`,
	"′", "'", "’", "'", "‘", "'",
	"⁄", "/", "−", "-", "–", "-", "‑", "-",
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "\t", " ", "º", "°",
)

// newScanner prepares text for reading.
func newScanner(text string) (*scanner, string) {
	if len(text) > 4*longest {
		return nil, "it is too long"
	}
	t := strings.TrimSpace(marks.Replace(text))
	lower := strings.ToLower(strings.TrimLeft(t, "+-."))
	switch {
	case t == "":
		return nil, "it is empty"
	case len(t) > longest:
		return nil, "it is too long"
	case strings.HasPrefix(lower, "inf") || strings.HasPrefix(lower, "nan"):
		return nil, "it must be finite"
	}
	return &scanner{text: []rune(t)}, ""
}

func (s *scanner) done() bool { return s.pos >= len(s.text) }

func (s *scanner) peek() rune {
	if s.done() {
		return 0
	}
	return s.text[s.pos]
}

func (s *scanner) accept(r rune) bool {
	if s.peek() != r {
		return false
	}
	s.pos++
	return true
}

func (s *scanner) spaces() {
	for s.accept(' ') {
	}
}

// sign reads a sign and tells whether it is a minus.
func (s *scanner) sign() bool {
	if s.accept('+') {
		return false
	}
	return s.accept('-')
}

// digits reads decimal digits.
func (s *scanner) digits() string {
	from := s.pos
	for r := s.peek(); '0' <= r && r <= '9'; r = s.peek() {
		s.pos++
	}
	return string(s.text[from:s.pos])
}

var vulgar = map[rune]*big.Rat{
	'½': big.NewRat(1, 2), '¼': big.NewRat(1, 4), '¾': big.NewRat(3, 4),
	'⅛': big.NewRat(1, 8), '⅜': big.NewRat(3, 8), '⅝': big.NewRat(5, 8), '⅞': big.NewRat(7, 8),
}

// number reads a decimal number, a fraction or a mixed number, without sign.
func (s *scanner) number() (*big.Rat, string) {
	if f := vulgar[s.peek()]; f != nil {
		s.pos++
		return new(big.Rat).Set(f), ""
	}
	whole := s.digits()
	switch {
	case s.peek() == ',':
		return nil, "a decimal point is a point, not a comma"
	case s.accept('.'):
		places := s.digits()
		if whole == "" && places == "" {
			return nil, "it does not start with a number"
		}
		exponent, why := s.exponent()
		switch {
		case why != "":
			return nil, why
		case s.peek() == '/':
			return nil, "a fraction is of whole numbers"
		case s.peek() == '.' || s.peek() == ',':
			return nil, "it has two decimal points"
		}
		x, _ := new(big.Rat).SetString("0" + whole + "." + places + "0")
		return x.Mul(x, exponent), ""
	case whole == "":
		return nil, "it does not start with a number"
	case s.peek() == '/':
		return s.over(whole)
	}
	x, _ := new(big.Rat).SetString(whole)
	exponent, why := s.exponent()
	if why != "" {
		return nil, why
	}
	x.Mul(x, exponent)
	f, why := s.mixed()
	if f != nil {
		x.Add(x, f)
	}
	return x, why
}

// exponent reads e or E with a whole number of up to two digits, as programs
// write small numbers, and returns the power of ten. There need be none.
func (s *scanner) exponent() (*big.Rat, string) {
	power := big.NewRat(1, 1)
	from := s.pos
	if !s.accept('e') && !s.accept('E') {
		return power, ""
	}
	negative := s.sign()
	ten := big.NewRat(10, 1)
	if negative {
		ten.Inv(ten)
	}
	d := s.digits()
	switch {
	case d == "":
		s.pos = from // some unit that begins with e
		return power, ""
	case len(d) > 2:
		return nil, "it is out of range"
	}
	n := 0
	for _, r := range d {
		n = 10*n + int(r-'0')
	}
	for range n {
		power.Mul(power, ten)
	}
	return power, ""
}

// mixed reads the fraction of a mixed number: after spaces or one dash, or a
// single sign like ½. It returns nil where there is none.
func (s *scanner) mixed() (*big.Rat, string) {
	from := s.pos
	if !s.accept('-') {
		s.spaces()
	}
	if f := vulgar[s.peek()]; f != nil {
		s.pos++
		return f, ""
	}
	up := s.digits()
	if up == "" || s.peek() != '/' {
		s.pos = from
		return nil, ""
	}
	f, why := s.over(up)
	if why == "" && f.Cmp(big.NewRat(1, 1)) >= 0 {
		return nil, "the fraction beside a whole number is less than 1"
	}
	return f, why
}

// over reads the rest of a fraction from its slash on.
func (s *scanner) over(up string) (*big.Rat, string) {
	s.accept('/')
	down := s.digits()
	if down == "" {
		return nil, "the fraction has nothing under the line"
	}
	if s.peek() == '.' || s.peek() == ',' {
		return nil, "a fraction is of whole numbers"
	}
	x, _ := new(big.Rat).SetString(up)
	d, _ := new(big.Rat).SetString(down)
	if d.Sign() == 0 {
		return nil, "nothing can be divided by 0"
	}
	if s.peek() == '/' {
		return nil, "it has two fraction lines"
	}
	return x.Quo(x, d), ""
}

// lengthUnit reads a unit of length: one mark or one word, in lower case; "" for
// none.
func (s *scanner) lengthUnit() string {
	s.spaces()
	if s.accept('"') {
		return `"`
	}
	if s.accept('\'') {
		return "'"
	}
	from := s.pos
	for unicode.IsLetter(s.peek()) {
		s.pos++
	}
	return strings.ToLower(string(s.text[from:s.pos]))
}

// rest returns what is left, trimmed.
func (s *scanner) rest() string { return strings.TrimSpace(string(s.text[s.pos:])) }

// leftOver says what stands after a length's end.
func (s *scanner) leftOver() string {
	if s.peek() == ',' {
		return "a decimal point is a point, not a comma"
	}
	return Quote(s.rest()) + " is left over"
}
