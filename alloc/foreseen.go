package alloc

// foreseen is an indexed binary heap of voices by something known of their
// notes' future, an end or a worth. At the top stands the voice that a rule
// would give up: that of the least, or the most; of equal ones the
// lowest-numbered.
type foreseen struct {
	most  bool
	heap  []int32
	value []int64 // by voice
	place []int32 // by voice: where it stands in heap
}

func newForeseen(most bool, voices int) *foreseen {
	return &foreseen{most: most, value: make([]int64, voices), place: make([]int32, voices)}
}

func (h *foreseen) before(a, b int32) bool {
	if h.value[a] == h.value[b] {
		return a < b
	}
	return h.most == (h.value[a] > h.value[b])
}

func (h *foreseen) top() int32 {
	if len(h.heap) == 0 {
		return none
	}
	return h.heap[0]
}

func (h *foreseen) add(v int32, value int64) {
	h.value[v] = value
	h.heap = append(h.heap, v)
	h.up(len(h.heap) - 1)
}

func (h *foreseen) remove(v int32) {
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

func (h *foreseen) put(i int, v int32) {
	h.heap[i] = v
	h.place[v] = int32(i)
}

func (h *foreseen) up(i int) {
	v := h.heap[i]
	for i > 0 && h.before(v, h.heap[(i-1)/2]) {
		h.put(i, h.heap[(i-1)/2])
		i = (i - 1) / 2
	}
	h.put(i, v)
}

func (h *foreseen) down(i int) {
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
