package space

// links are which numbers are joined to which, in a graph that changes all the time.
type links struct {
	next  [][]int32 // by number, in the order in which they were joined
	spare [][]int32 // lists nobody needs any more, to be used again
}

// join joins two numbers.
func (l *links) join(a, b int32) {
	for int(max(a, b)) >= len(l.next) {
		var list []int32
		if n := len(l.spare); n > 0 {
			list, l.spare = l.spare[n-1], l.spare[:n-1]
		}
		l.next = append(l.next, list)
	}
	l.next[a], l.next[b] = append(l.next[a], b), append(l.next[b], a)
}

// of returns what n was joined to, some of which may have left since.
func (l *links) of(n int32) []int32 {
	if int(n) >= len(l.next) {
		return nil
	}
	return l.next[n]
}

// leave parts n from all it is joined to. It stays in their lists, until they are kept
// without it.
func (l *links) leave(n int32) {
	if int(n) < len(l.next) && l.next[n] != nil {
		l.spare, l.next[n] = append(l.spare, l.next[n][:0]), nil
	}
}

// keep makes a list, in the place of what of returned, what n is joined to.
func (l *links) keep(n int32, list []int32) {
	if int(n) < len(l.next) {
		l.next[n] = list
	}
}
