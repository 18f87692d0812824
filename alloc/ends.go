package alloc

import "time"

// ends is an indexed binary heap of voices by the end of their note's
// reference interval, for the rules that know the future. At the top stands
// the voice such a rule would give up: the latest end, or with soonest the
// earliest; of equal ends the lowest-numbered voice.
type ends struct {
	soonest bool
	heap    []int32
	end     []time.Duration // by voice
	place   []int32         // by voice: where it stands in heap
}

func newEnds(soonest bool, voices int) *ends {
	return &ends{soonest: soonest, end: make([]time.Duration, voices), place: make([]int32, voices)}
}

func (h *ends) before(a, b int32) bool {
	if h.end[a] == h.end[b] {
		return a < b
	}
	return h.soonest == (h.end[a] < h.end[b])
}

func (h *ends) top() int32 {
	if len(h.heap) == 0 {
		return none
	}
	return h.heap[0]
}

func (h *ends) add(v int32, end time.Duration) {
	h.end[v] = end
	h.heap = append(h.heap, v)
	h.up(len(h.heap) - 1)
}

func (h *ends) remove(v int32) {
	i := int(h.place[v])
	last := len(h.heap) - 1
	moved := h.heap[last]
	h.heap = h.heap[:last]
	if moved == v {
		return
	}
	h.put(i, moved)
	h.up(i)
	h.down(int(h.place[moved]))
}

func (h *ends) put(i int, v int32) {
	h.heap[i] = v
	h.place[v] = int32(i)
}

func (h *ends) up(i int) {
	v := h.heap[i]
	for i > 0 && h.before(v, h.heap[(i-1)/2]) {
		h.put(i, h.heap[(i-1)/2])
		i = (i - 1) / 2
	}
	h.put(i, v)
}

func (h *ends) down(i int) {
	v := h.heap[i]
	for {
		child := 2*i + 1
		if child >= len(h.heap) {
			break
		}
		if child+1 < len(h.heap) && h.before(h.heap[child+1], h.heap[child]) {
			child++
		}
		if !h.before(h.heap[child], v) {
			break
		}
		h.put(i, h.heap[child])
		i = child
	}
	h.put(i, v)
}
