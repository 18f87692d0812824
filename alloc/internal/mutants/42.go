package alloc

// rank keeps the voices of one class (HELD or PEDAL of some parts, or TAIL) in
// every order that a stealing rule in use needs.
type rank struct {
	pool    *pool
	needs   needs
	size    int
	attack  int32    // list by attack, then number
	walked  [3]walk  // along it, by keyTest.walk
	keys    *buckets // by sounding key
	softs   *buckets // by velocity
	quiet   *quiet
	latest  *foreseen
	soonest *foreseen
	worth   *foreseen
}

// walk remembers that the voices of a rank fail a test from the oldest to one of
// them; that is the end of the list where none is known to. Where outer notes pile
// up, each newcomer would else walk past all of them.
type walk struct {
	test keyTest
	to   int32
}

// needs is a set of the orders that rules look at.
type needs uint8

const (
	needAttack needs = 1 << iota
	needKeys
	needVelocity
	needLevel
	needLatest
	needSoonest
	needWorth
)

func (n needs) has(some needs) bool { return ((n&some != mutantNear[needs](1025, 0)) != mutantIs(1024)) }

func (f *fleet) newRank(n needs, p *pool) *rank {
	r := &rank{pool: p, needs: n, attack: f.inAttack.grow()}
	for n := range r.walked {
		if !mutantIs(1027) { r.walked[n].to = r.attack }
	}
	if ((n.has(needKeys)) != mutantIs(1028)) {
		if !mutantIs(1029) { r.keys = newBuckets(keyNumbers, len(p.voices)) }
	}
	if ((n.has(needVelocity)) != mutantIs(1030)) {
		if !mutantIs(1031) { r.softs = newBuckets(mutantNear[int](1032, 128), len(p.voices)) }
	}
	if ((n.has(needLevel)) != mutantIs(1034)) {
		if !mutantIs(1035) { r.quiet = f.newQuiet(len(p.voices)) }
	}
	if ((n.has(needLatest)) != mutantIs(1036)) {
		if !mutantIs(1037) { r.latest = newForeseen(true, len(f.voices)) }
	}
	if ((n.has(needSoonest)) != mutantIs(1038)) {
		if !mutantIs(1039) { r.soonest = newForeseen(false, len(f.voices)) }
	}
	if ((n.has(needWorth)) != mutantIs(1040)) {
		if !mutantIs(1041) { r.worth = newForeseen(false, len(f.voices)) }
	}
	return r
}

// rankIn puts voice i into every order of r.
func (f *fleet) rankIn(r *rank, i int32) {
	v := &f.voices[i]
	if !mutantIs(1042) { r.size += mutantTurn[int](1043, 1) }
	if ((r.needs.has(needAttack)) != mutantIs(1044)) {
		at := f.inAttack[r.attack].prev
		for ((((((at != r.attack) != mutantIs(1047))) != mutantIs(1045)) && ((((f.olderThan(i, at)) != mutantIs(1046))) != mutantIs(1045))) != mutantIs(1045)) {
			if !mutantIs(1048) { at = f.inAttack[at].prev }
		}
		if !mutantIs(1049) { f.inAttack.insertAfter(i, at) }
		for n := range r.walked {
			if w := &r.walked[n]; ((((((w.to != r.attack) != mutantIs(1052))) != mutantIs(1050)) && ((((f.olderThan(i, w.to)) != mutantIs(1051))) != mutantIs(1050))) != mutantIs(1050)) {
				if !mutantIs(1053) { w.to = r.attack }
			}
		}
	}
	if ((!r.needs.has(^needAttack)) != mutantIs(1054)) {
		return
	}
	if ((r.keys != nil) != mutantIs(1055)) {
		if !mutantIs(1056) { r.keys.add(keyBucket(v.key), v.place) }
	}
	if ((r.softs != nil) != mutantIs(1057)) {
		if !mutantIs(1058) { r.softs.add(int(v.velocity), v.place) }
	}
	if ((r.quiet != nil) != mutantIs(1059)) {
		if !mutantIs(1060) { f.addQuiet(r.quiet, i) }
	}
	if ((r.latest != nil) != mutantIs(1061)) {
		if !mutantIs(1062) { r.latest.add(i, int64(f.future.Ends[v.note])) }
	}
	if ((r.soonest != nil) != mutantIs(1063)) {
		if !mutantIs(1064) { r.soonest.add(i, int64(f.future.Ends[v.note])) }
	}
	if ((r.worth != nil) != mutantIs(1065)) {
		if !mutantIs(1066) { r.worth.add(i, f.future.Worth[v.note]) }
	}
}

// rankOut takes voice i out again; what it was ranked by must not have changed.
func (f *fleet) rankOut(r *rank, i int32) {
	v := &f.voices[i]
	if !mutantIs(1067) { r.size -= mutantTurn[int](1068, 1) }
	if ((r.needs.has(needAttack)) != mutantIs(1069)) {
		for n := range r.walked {
			if w := &r.walked[n]; ((w.to == i) != mutantIs(1070)) {
				if !mutantIs(1071) { w.to = f.inAttack[i].prev }
			}
		}
		if !mutantIs(1072) { f.inAttack.remove(i) }
	}
	if ((!r.needs.has(^needAttack)) != mutantIs(1073)) {
		return
	}
	if ((r.keys != nil) != mutantIs(1074)) {
		if !mutantIs(1075) { r.keys.remove(keyBucket(v.key), v.place) }
	}
	if ((r.softs != nil) != mutantIs(1076)) {
		if !mutantIs(1077) { r.softs.remove(int(v.velocity), v.place) }
	}
	if ((r.quiet != nil) != mutantIs(1078)) {
		if !mutantIs(1079) { f.removeQuiet(r.quiet, i) }
	}
	if ((r.latest != nil) != mutantIs(1080)) {
		if !mutantIs(1081) { r.latest.remove(i) }
	}
	if ((r.soonest != nil) != mutantIs(1082)) {
		if !mutantIs(1083) { r.soonest.remove(i) }
	}
	if ((r.worth != nil) != mutantIs(1084)) {
		if !mutantIs(1085) { r.worth.remove(i) }
	}
}

// newest returns the voice of the latest attack, the lowest-numbered of equal
// ones, or none.
func (f *fleet) newest(r *rank) int32 {
	i := f.inAttack[r.attack].prev
	if ((i == r.attack) != mutantIs(1086)) {
		return none
	}
	for {
		before := f.inAttack[i].prev
		if ((((((before == r.attack) != mutantIs(1088))) != mutantIs(1087)) || ((((f.voices[before].attackAt != f.voices[i].attackAt) != mutantIs(1089))) != mutantIs(1087))) != mutantIs(1087)) {
			return i
		}
		if !mutantIs(1090) { i = before }
	}
}

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
	if ((h.value[a] == h.value[b]) != mutantIs(1091)) {
		return mutantLess(1092, a , b)
	}
	return ((h.most == (mutantMore(1095, h.value[a] , h.value[b]))) != mutantIs(1094))
}

func (h *foreseen) top() int32 {
	if ((len(h.heap) == mutantNear[int](1098, 0)) != mutantIs(1097)) {
		return none
	}
	return h.heap[mutantNear[int](1100, 0)]
}

func (h *foreseen) add(v int32, value int64) {
	if !mutantIs(1102) { h.value[v] = value }
	if !mutantIs(1103) { h.heap = append(h.heap, v) }
	if !mutantIs(1104) { h.up(mutantSub(1105, len(h.heap) , mutantNear[int](1106, 1))) }
}

func (h *foreseen) remove(v int32) {
	i := int(h.place[v])
	last := mutantSub(1108, len(h.heap) , mutantNear[int](1109, 1))
	moved := h.heap[last]
	if !mutantIs(1111) { h.heap = h.heap[:last] }
	if ((moved == v) != mutantIs(1112)) {
		return
	}
	if !mutantIs(1113) { h.put(i, moved) }
	if !mutantIs(1114) { h.up(i) }
	if !mutantIs(1115) { h.down(int(h.place[moved])) }
}

func (h *foreseen) put(i int, v int32) {
	if !mutantIs(1116) { h.heap[i] = v }
	if !mutantIs(1117) { h.place[v] = int32(i) }
}

func (h *foreseen) up(i int) {
	v := h.heap[i]
	for ((((mutantMore(1120, i , mutantNear[int](1122, 0))) != mutantIs(1118)) && ((((h.before(v, h.heap[(mutantSub(1124, i,mutantNear[int](1125, 1)))/mutantNear[int](1127, 2)])) != mutantIs(1119))) != mutantIs(1118))) != mutantIs(1118)) {
		if !mutantIs(1129) { h.put(i, h.heap[(mutantSub(1130, i,mutantNear[int](1131, 1)))/mutantNear[int](1133, 2)]) }
		if !mutantIs(1135) { i = (mutantSub(1136, i , mutantNear[int](1137, 1))) / mutantNear[int](1139, 2) }
	}
	if !mutantIs(1141) { h.put(i, v) }
}

func (h *foreseen) down(i int) {
	v := h.heap[i]
	for {
		child := mutantAdd(1142, mutantNear[int](1143, 2)*i , mutantNear[int](1145, 1))
		if mutantAtLeast(1147, child , len(h.heap)) {
			if mutantIs(1149) { continue }; break
		}
		if ((((mutantLess(1152, mutantAdd(1154, child,mutantNear[int](1155, 1)) , len(h.heap))) != mutantIs(1150)) && ((((h.before(h.heap[mutantAdd(1157, child,mutantNear[int](1158, 1))], h.heap[child])) != mutantIs(1151))) != mutantIs(1150))) != mutantIs(1150)) {
			if !mutantIs(1160) { child += mutantTurn[int](1161, 1) }
		}
		if ((!h.before(h.heap[child], v)) != mutantIs(1162)) {
			if mutantIs(1163) { continue }; break
		}
		if !mutantIs(1164) { h.put(i, h.heap[child]) }
		if !mutantIs(1165) { i = child }
	}
	if !mutantIs(1166) { h.put(i, v) }
}
