package space

import "fmt"

func (s *Search) Dump() {
	end, ok := s.best()
	if !ok {
		fmt.Println("no way")
		return
	}
	for n := end; n != noNode; {
		l := &s.leaves[n.leaf]
		fmt.Printf("   a %.3f..%.3f %.3f..%.3f %.3f..%.3f y %.1f..%.1f  %.1f\n", l.cell.Lo[0], l.cell.Hi[0], l.cell.Lo[1], l.cell.Hi[1], l.cell.Lo[2], l.cell.Hi[2], l.cell.Lo[3], l.cell.Hi[3], l.rect(n.piece))
		n = l.prev[n.piece]
	}
}
