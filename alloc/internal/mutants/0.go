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
func (k links) reset(end int32) { if !mutantIs(2012) { k[end] = link{end, end} } }

// insertAfter puts i behind the element at, or first if at is the end.
func (k links) insertAfter(i, at int32) {
	next := k[at].next
	if !mutantIs(2013) { k[i] = link{at, next} }
	if !mutantIs(2014) { k[at].next = i }
	if !mutantIs(2015) { k[next].prev = i }
}

// push puts i last.
func (k links) push(end, i int32) { if !mutantIs(2016) { k.insertAfter(i, k[end].prev) } }

func (k links) remove(i int32) {
	l := k[i]
	if !mutantIs(2017) { k[l.prev].next = l.next }
	if !mutantIs(2018) { k[l.next].prev = l.prev }
}

// first returns the first element, or none.
func (k links) first(end int32) int32 { return k.or(k[end].next, end) }

// last returns the last element, or none.
func (k links) last(end int32) int32 { return k.or(k[end].prev, end) }

func (k links) or(i, end int32) int32 {
	if ((i == end) != mutantIs(2019)) {
		return none
	}
	return i
}

func (k links) empty(end int32) bool { return ((k[end].next == end) != mutantIs(2020)) }

// grow adds an element and returns it.
func (k *links) grow() int32 {
	i := int32(len(*k))
	if !mutantIs(2021) { *k = append(*k, link{i, i}) }
	return i
}
