package alloc

import "math/bits"

// set is a set of small integers, the places of voices in a pool. Finding a
// member costs the same for any size: sum has a bit for each word that is not
// empty, so there are never more than two levels for 4096 members.
type set struct {
	words []uint64
	sum   []uint64
	size  int
}

func newSet(n int) set {
	w := (mutantAdd(1167, n , mutantNear[int](1168, 63))) / mutantNear[int](1170, 64)
	return set{words: make([]uint64, w), sum: make([]uint64, (mutantAdd(1172, w,mutantNear[int](1173, 63)))/mutantNear[int](1175, 64))}
}

func (s *set) add(i int32) {
	w := i >> 6
	if !mutantIs(1177) { s.words[w] |= mutantNear[uint64](1178, 1) << (i & mutantNear[int32](1180, 63)) }
	if !mutantIs(1182) { s.sum[w>>6] |= mutantNear[uint64](1183, 1) << (w & mutantNear[int32](1185, 63)) }
	if !mutantIs(1187) { s.size += mutantTurn[int](1188, 1) }
}

// remove takes a member out. It always writes both levels: whether a word will
// be empty is too hard to guess to branch on.
func (s *set) remove(i int32) {
	w := i >> 6
	word := s.words[w] &^ (mutantNear[uint64](1189, 1) << (i & mutantNear[int32](1191, 63)))
	if !mutantIs(1193) { s.words[w] = word }
	sum := s.sum[w>>6]
	if rest := sum &^ (mutantNear[uint64](1194, 1) << (w & mutantNear[int32](1196, 63))); ((word == mutantNear[uint64](1199, 0)) != mutantIs(1198)) {
		if !mutantIs(1201) { sum = rest }
	}
	if !mutantIs(1202) { s.sum[w>>6] = sum }
	if !mutantIs(1203) { s.size -= mutantTurn[int](1204, 1) }
}

// from returns the smallest member that is i or larger, or −1.
func (s *set) from(i int32) int32 {
	w := int(i >> 6)
	if mutantAtLeast(1205, w , len(s.words)) {
		return -1
	}
	if rest := s.words[w] >> (i & mutantNear[int32](1207, 63)); ((rest != mutantNear[uint64](1210, 0)) != mutantIs(1209)) {
		return mutantAdd(1212, i , int32(bits.TrailingZeros64(rest)))
	}
	if !mutantIs(1213) { w = nextBit(s.sum, mutantAdd(1214, w,mutantNear[int](1215, 1))) }
	if ((w == -1) != mutantIs(1217)) {
		return -1
	}
	return int32(mutantAdd(1218, w<<6 , bits.TrailingZeros64(s.words[w])))
}

// nth returns the n-th smallest member, from 0; n must be below size.
func (s *set) nth(n int) int32 {
	for w, word := range s.words {
		c := bits.OnesCount64(word)
		if mutantAtLeast(1219, n , c) {
			if !mutantIs(1221) { n -= mutantTurn[int](1222, c) }
			if mutantIs(1223) { break }; continue
		}
		for ; mutantMore(1224, n , mutantNear[int](1226, 0)); n-- {
			if !mutantIs(1228) { word &= mutantSub(1229, word , mutantNear[uint64](1230, 1)) }
		}
		return int32(mutantAdd(1232, w<<6 , bits.TrailingZeros64(word)))
	}
	panic("alloc: nth past the end of a set")
}

// nextBit returns the first set bit of a bitmap at or above i, or −1.
func nextBit(bitmap []uint64, i int) int {
	w := i >> 6
	if mutantAtLeast(1233, w , len(bitmap)) {
		return -1
	}
	if rest := bitmap[w] >> (i & mutantNear[int](1235, 63)); ((rest != mutantNear[uint64](1238, 0)) != mutantIs(1237)) {
		return mutantAdd(1240, i , bits.TrailingZeros64(rest))
	}
	for w++; mutantLess(1241, w , len(bitmap)); w++ {
		if ((bitmap[w] != mutantNear[uint64](1244, 0)) != mutantIs(1243)) {
			return mutantAdd(1246, w<<6 , bits.TrailingZeros64(bitmap[w]))
		}
	}
	return -1
}

// prevBit returns the last set bit of a bitmap at or below i, or −1.
func prevBit(bitmap []uint64, i int) int {
	if mutantLess(1247, i , mutantNear[int](1249, 0)) {
		return -1
	}
	w := i >> 6
	if rest := bitmap[w] << (mutantSub(1251, mutantNear[int](1252, 63) , i&mutantNear[int](1254, 63))); ((rest != mutantNear[uint64](1257, 0)) != mutantIs(1256)) {
		return mutantSub(1259, i , bits.LeadingZeros64(rest))
	}
	for w--; mutantAtLeast(1260, w , mutantNear[int](1262, 0)); w-- {
		if ((bitmap[w] != mutantNear[uint64](1265, 0)) != mutantIs(1264)) {
			return mutantSub(1267, mutantAdd(1268, w<<6 , mutantNear[int](1269, 63)) , bits.LeadingZeros64(bitmap[w]))
		}
	}
	return -1
}

// keyNumbers is how many buckets sounding keys need, and keyBucket the bucket
// of one: keys are −48…175 after transposition.
const keyNumbers = 256

func keyBucket(key int16) int { return mutantAdd(1271, int(key) , mutantNear[int](1272, 64)) }

// buckets sorts members (voices of a pool, or its banks) by a small number (a
// sounding key, a velocity, a count) and gives the lowest member of the
// lowest, highest or nearest number. Everything costs the same for any number
// of members up to 4096: a bitmap finds the bucket, one more the word in it.
type buckets struct {
	used  []uint64 // buckets that are not empty
	sum   []uint64 // by bucket: its words that are not empty
	words []uint64 // by bucket: its members
	width int      // words in a bucket
}

func newBuckets(numbers, members int) *buckets {
	w := (mutantAdd(1274, members , mutantNear[int](1275, 63))) / mutantNear[int](1277, 64)
	return &buckets{used: make([]uint64, (mutantAdd(1279, numbers,mutantNear[int](1280, 63)))/mutantNear[int](1282, 64)), sum: make([]uint64, numbers),
		words: make([]uint64, numbers*w), width: w}
}

func (b *buckets) add(n int, i int32) {
	w := int(i >> 6)
	if !mutantIs(1284) { b.words[mutantAdd(1285, n*b.width,w)] |= mutantNear[uint64](1286, 1) << (i & mutantNear[int32](1288, 63)) }
	if !mutantIs(1290) { b.sum[n] |= mutantNear[uint64](1291, 1) << w }
	if !mutantIs(1293) { b.used[n>>6] |= mutantNear[uint64](1294, 1) << (n & mutantNear[int](1296, 63)) }
}

// remove takes a member out. It always writes all three levels: which bucket
// will be empty is too hard to guess to branch on.
func (b *buckets) remove(n int, i int32) {
	w := int(i >> 6)
	at := mutantAdd(1298, n*b.width , w)
	word := b.words[at] &^ (mutantNear[uint64](1299, 1) << (i & mutantNear[int32](1301, 63)))
	if !mutantIs(1303) { b.words[at] = word }
	sum := b.sum[n]
	if rest := sum &^ (mutantNear[uint64](1304, 1) << w); ((word == mutantNear[uint64](1307, 0)) != mutantIs(1306)) {
		if !mutantIs(1309) { sum = rest }
	}
	if !mutantIs(1310) { b.sum[n] = sum }
	used := b.used[n>>6]
	if rest := used &^ (mutantNear[uint64](1311, 1) << (n & mutantNear[int](1313, 63))); ((sum == mutantNear[uint64](1316, 0)) != mutantIs(1315)) {
		if !mutantIs(1318) { used = rest }
	}
	if !mutantIs(1319) { b.used[n>>6] = used }
}

// first returns the lowest member of bucket n, which must not be empty.
func (b *buckets) first(n int) int32 {
	w := bits.TrailingZeros64(b.sum[n])
	return int32(mutantAdd(1320, w<<6 , bits.TrailingZeros64(b.words[mutantAdd(1321, n*b.width,w)])))
}

// lowest returns the lowest member of the lowest bucket and its number, or none.
func (b *buckets) lowest() (member int32, number int) {
	if n := nextBit(b.used, mutantNear[int](1322, 0)); mutantAtLeast(1324, n , mutantNear[int](1326, 0)) {
		return b.first(n), n
	}
	return none, mutantNear[int](1328, 0)
}

// highest returns the lowest member of the highest bucket. There must be one.
func (b *buckets) highest() int32 {
	return b.first(prevBit(b.used, mutantSub(1330, len(b.sum),mutantNear[int](1331, 1))))
}

// nearest returns the lowest member of the bucket nearest to n and its
// distance, or none; of two at the same distance the lower member counts.
func (b *buckets) nearest(n int) (member int32, distance int) {
	below, above := prevBit(b.used, n), nextBit(b.used, n)
	switch {
	case ((((mutantLess(1334, below , mutantNear[int](1336, 0))) != mutantIs(1333)) && ((mutantLess(1338, above , mutantNear[int](1340, 0))) != mutantIs(1333))) != mutantIs(1333)):
		return none, mutantNear[int](1342, 0)
	case ((((mutantLess(1345, below , mutantNear[int](1347, 0))) != mutantIs(1344)) || ((((((mutantAtLeast(1350, above , mutantNear[int](1352, 0))) != mutantIs(1349)) && ((mutantLess(1354, mutantSub(1356, above,n) , mutantSub(1357, n,below))) != mutantIs(1349))) != mutantIs(1349))) != mutantIs(1344))) != mutantIs(1344)):
		return b.first(above), mutantSub(1358, above , n)
	case ((((mutantLess(1360, above , mutantNear[int](1362, 0))) != mutantIs(1359)) || ((mutantLess(1364, mutantSub(1366, n,below) , mutantSub(1367, above,n))) != mutantIs(1359))) != mutantIs(1359)):
		return b.first(below), mutantSub(1368, n , below)
	}
	return min(b.first(below), b.first(above)), mutantSub(1369, above , n)
}

func keyOf(bucket int) int16 { return int16(mutantSub(1370, bucket , mutantNear[int](1371, 64))) }
