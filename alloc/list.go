package alloc

// links are the neighbours of every element in one family of lists; an
// element (a voice, a slot) is in at most one list of a family, so a list is
// no more than its two ends.
type links []link

type link struct{ prev, next int32 }

// list is a doubly linked list of elements numbered from 0; none is −1.
type list struct{ head, tail int32 }

const none int32 = -1

var empty = list{none, none}

// insertAfter puts i behind the element at, or first if at is none.
func (l *list) insertAfter(k links, i, at int32) {
	next := l.head
	if at != none {
		next = k[at].next
		k[at].next = i
	} else {
		l.head = i
	}
	if next != none {
		k[next].prev = i
	} else {
		l.tail = i
	}
	k[i] = link{prev: at, next: next}
}

func (l *list) push(k links, i int32) { l.insertAfter(k, i, l.tail) }

func (l *list) remove(k links, i int32) {
	n := k[i]
	if n.prev != none {
		k[n.prev].next = n.next
	} else {
		l.head = n.next
	}
	if n.next != none {
		k[n.next].prev = n.prev
	} else {
		l.tail = n.prev
	}
}
