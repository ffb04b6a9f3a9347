package proof

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
)

// format is the number of the file form that Marshal writes and Read reads.
const format = 1

type file struct {
	Format int `json:"format"`
	Proof
}

// Marshal returns the file form of a proof: JSON, in which a node is the number of
// the coordinate its cell is halved across, or of a leaf the list of its
// pieces, each [x0, x1, z0, z1, outside] with null for an infinite side, or of its
// bands, each [to, label]. All numbers come back as they were. Equal proofs have equal bytes.
func Marshal(p *Proof) ([]byte, error) {
	b, err := json.Marshal(file{format, *p})
	return append(b, '\n'), err
}

// Read reads what Marshal writes. It does not check the proof.
func Read(data []byte) (*Proof, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	var f file
	if err := d.Decode(&f); err != nil {
		return nil, fmt.Errorf("proof file: %w", err)
	}
	if d.More() {
		return nil, errors.New("proof file: more than one proof")
	}
	if f.Format != format {
		return nil, fmt.Errorf("proof file: format %d, not %d", f.Format, format)
	}
	return &f.Proof, nil
}

// MarshalJSON implements json.Marshaler.
func (n Node) MarshalJSON() ([]byte, error) {
	if n.Axis >= 0 {
		return json.Marshal(n.Axis)
	}
	if len(n.Bands) > 0 {
		bands := make([][2]any, len(n.Bands))
		for i, b := range n.Bands {
			bands[i] = [2]any{b.To, b.Label}
		}
		return json.Marshal(bands)
	}
	pieces := make([][5]any, len(n.Pieces))
	for i, p := range n.Pieces {
		for k, v := range [4]float64{p.X0, p.X1, p.Z0, p.Z1} {
			if math.IsInf(v, k%2*2-1) {
				continue // stays null
			}
			pieces[i][k] = v
		}
		pieces[i][4] = p.Outside
	}
	return json.Marshal(pieces)
}

// UnmarshalJSON implements json.Unmarshaler.
func (n *Node) UnmarshalJSON(data []byte) error {
	if len(data) > 0 && data[0] != '[' {
		return json.Unmarshal(data, &n.Axis)
	}
	var pieces [][]json.RawMessage
	if err := json.Unmarshal(data, &pieces); err != nil {
		return err
	}
	*n = Node{Axis: -1}
	for _, raw := range pieces {
		if len(raw) == 2 {
			var b Band
			if err := errors.Join(json.Unmarshal(raw[0], &b.To), json.Unmarshal(raw[1], &b.Label)); err != nil {
				return err
			}
			n.Bands = append(n.Bands, b)
			continue
		}
		if len(raw) != 5 {
			return fmt.Errorf("a piece has 5 values and a band 2, not %d", len(raw))
		}
		var side [4]float64
		for k := range side {
			v := math.Inf(k%2*2 - 1)
			if err := json.Unmarshal(raw[k], &v); err != nil { // null leaves it as it is
				return err
			}
			side[k] = v
		}
		p := Piece{Rect: Rect{side[0], side[1], side[2], side[3]}}
		if err := json.Unmarshal(raw[4], &p.Outside); err != nil {
			return err
		}
		n.Pieces = append(n.Pieces, p)
	}
	return nil
}
