package alloc

import "time"

// closing is a note whose gate closes when its minimum gate is over.
type closing struct {
	due  time.Duration
	id   NoteID
	slot int32
}

// closings is a binary heap of closings, the earliest and then the oldest note
// first.
type closings []closing

func (c closing) before(d closing) bool {
	return c.due < d.due || c.due == d.due && c.id < d.id
}

func (h *closings) push(c closing) {
	*h = append(*h, c)
	q := *h
	i := len(q) - 1
	for i > 0 && c.before(q[(i-1)/2]) {
		q[i] = q[(i-1)/2]
		i = (i - 1) / 2
	}
	q[i] = c
}

func (h *closings) pop() closing {
	q := *h
	top, last := q[0], q[len(q)-1]
	q = q[:len(q)-1]
	*h = q
	if len(q) == 0 {
		return top
	}
	i := 0
	for {
		child := 2*i + 1
		if child >= len(q) {
			break
		}
		if child+1 < len(q) && q[child+1].before(q[child]) {
			child++
		}
		if !q[child].before(last) {
			break
		}
		q[i] = q[child]
		i = child
	}
	q[i] = last
	return top
}
