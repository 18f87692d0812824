package alloc

// links joins elements numbered from 0 (voices, slots) into circular lists.
// Every list of a family has an end of its own, an element that is never
// anything else; so joining and parting take no branches, and an element is in
// at most one list of a family.
type links []link

type link struct{ prev, next int32 }

// none stands where there is no element.
const none int32 = -1

// reset makes the list with that end empty.
func (k links) reset(end int32) { k[end] = link{end, end} }

// insertAfter puts i behind the element at, or first if at is the end.
func (k links) insertAfter(i, at int32) {
	next := k[at].next
	k[i] = link{at, next}
	k[at].next = i
	k[next].prev = i
}

// push puts i last.
func (k links) push(end, i int32) { k.insertAfter(i, k[end].prev) }

func (k links) remove(i int32) {
	l := k[i]
	k[l.prev].next = l.next
	k[l.next].prev = l.prev
}

// first returns the first element, or none.
func (k links) first(end int32) int32 { return k.or(k[end].next, end) }

// last returns the last element, or none.
func (k links) last(end int32) int32 { return k.or(k[end].prev, end) }

func (k links) or(i, end int32) int32 {
	if i == end {
		return none
	}
	return i
}

func (k links) empty(end int32) bool { return k[end].next == end }

// grow adds an element and returns it.
func (k *links) grow() int32 {
	i := int32(len(*k))
	*k = append(*k, link{i, i})
	return i
}
