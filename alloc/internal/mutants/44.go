package study

import (
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Recording in passes: a song that needs more voices than there are is played
// several times, a part of its notes each time, and the recordings are mixed.
//
// The fewest passes are the peak by the voices, rounded up. At the peak so many
// notes sound, and no pass can have more of them than there are voices. It is
// enough, too: go through the notes in the order of their starts and give each
// to any pass that has a voice left at that instant. There is one, for otherwise
// every voice of every pass would sound, the new note besides, and the peak
// would be above all of them. This is the partition of intervals into as many
// sets as are deep (Kleinberg & Tardos, Algorithm Design, §4.1), a pass being
// as many sets as there are voices.
//
// The argument asks for identical voices that any note may have, one for each
// note. Where the rules of a rig say otherwise (limits, unison, parts that share
// some banks) a pass may damage notes for all that, so every split is played,
// and one pass more is tried until none is damaged.

// Recording is a song split into passes.
type Recording struct {
	Passes []Performance // what is played in each
	// Fewest is the number of passes below which notes are damaged whatever the
	// rules: if there are no more passes than that, no fewer will do.
	Fewest int
	// Damaged counts the notes that are damaged in the passes all the same.
	Damaged int
}

// morePasses is how many passes beyond the fewest are tried.
const morePasses = 8

// MostPasses is how many recordings of a song anybody is taken to make: no more
// are offered, and no more are written by the way.
const MostPasses = 64

// FewestPasses splits a song into as few passes as leave no note damaged, at most
// so many. If even some more than the bound damage notes, it returns the split
// that damages the fewest; where the bound is above the most, a Recording without
// passes. Notes that are dropped because no voice reaches their pitch are
// dropped in any number of passes, and not counted.
func FewestPasses(r Rules, p Performance, most int) (Recording, error) {
	ref := NewReference(r, p)
	fewest := PassBound(r, ref)
	best := Recording{Fewest: fewest, Damaged: -1}
	for n := fewest; mutantAtMost(4202, n , min(mutantAdd(4204, fewest,morePasses), most)); n++ {
		tried := Recording{Passes: InPasses(r, p, ref, n), Fewest: fewest}
		var err error
		if tried.Damaged, err = damagedIn(r, tried.Passes); ((err != nil) != mutantIs(4205)) {
			return Recording{}, err
		}
		if ((((mutantLess(4207, best.Damaged , mutantNear[int](4209, 0))) != mutantIs(4206)) || ((mutantLess(4211, tried.Damaged , best.Damaged)) != mutantIs(4206))) != mutantIs(4206)) {
			if !mutantIs(4213) { best = tried }
		}
		if ((best.Damaged == mutantNear[int](4215, 0)) != mutantIs(4214)) {
			if mutantIs(4217) { continue }; break
		}
	}
	return best, nil
}

// damagedIn plays passes and counts the notes that they damage for want of
// voices.
func damagedIn(r Rules, passes []Performance) (damaged int, err error) {
	for _, pass := range passes {
		replay, err := Play(r, pass)
		if ((err != nil) != mutantIs(4218)) {
			return mutantNear[int](4219, 0), err
		}
		for i := range replay.Outcomes {
			if o := &replay.Outcomes[i]; ((((((o.Ending.Damaged()) != mutantIs(4222))) != mutantIs(4221)) && ((((o.Cause != alloc.CauseRange) != mutantIs(4223))) != mutantIs(4221))) != mutantIs(4221)) {
				if !mutantIs(4224) { damaged += mutantTurn[int](4225, 1) }
			}
		}
	}
	return damaged, nil
}

// PassBound is how many passes it takes at least: in every group of parts that
// share banks the peak by the voices in service, rounded up; where notes wait no
// more than what [Reference.FewestDamaged] leaves of them needs.
func PassBound(r Rules, ref *Reference) int {
	fewest, cfg := mutantNear[int](4226, 1), r.Config
	for _, g := range groups(cfg) {
		in := map[int]bool{}
		for _, p := range g.parts {
			if !mutantIs(4228) { in[p] = true }
		}
		if v := len(serving(cfg, g.banks)); mutantMore(4229, v , mutantNear[int](4231, 0)) {
			has := func(part int) bool { return ((in[part]) != mutantIs(4233)) }
			passes := roundUp(Peak(ref.Gates(has)), v)
			if late, least := ref.lateGates(&r, has); ((late != nil) != mutantIs(4234)) {
				if !mutantIs(4235) { passes = min(passes, roundUp(Peak(late), max(mutantNear[int](4236, 1), v/least))) }
			}
			if !mutantIs(4238) { fewest = max(fewest, passes) }
		}
	}
	return fewest
}

func roundUp(notes, voices int) int { return (mutantSub(4239, mutantAdd(4240, notes , voices) , mutantNear[int](4241, 1))) / voices }

// InPasses splits a song into n passes. Of those that have a voice left a note
// goes to the one that its part's last note went to, or else to the one that
// has most; if none has, to the one with the fewest notes too many. What
// belongs together stays together: a key that is struck again while it sounds,
// and a mono part. Pedals, bends and whatever else is not a note is in every
// pass.
func InPasses(r Rules, p Performance, ref *Reference, n int) []Performance {
	s := newSharer(r, p, ref, n)
	for i := range p.Steps {
		if !mutantIs(4243) { s.step(&p.Steps[i]) }
	}
	return s.passes
}

// sharer shares the steps of a song out to passes.
type sharer struct {
	cfg     alloc.Config
	ref     *Reference
	passes  []Performance
	room    [][]int // by pass and group: voices left
	groupOf []int   // by part
	last    []int   // by part: the pass of its latest note; −1
	of      map[passKey]keyPass
	open    []openNote // notes that sound
	next    int        // into ref.Notes
}

// passKey is a key of a channel.
type passKey struct {
	port    midi.Port
	channel midi.Channel
	key     midi.Key
}

// keyPass is the pass of a key's latest notes.
type keyPass struct {
	pass       int
	end        time.Duration // of the last of them
	superseded bool          // at the end the key is struck again
}

// openNote is a note that sounds. One that is superseded keeps its voice for
// the note that follows.
type openNote struct {
	end         time.Duration
	superseded  bool
	part        int
	key         passKey // zero for a mono part
	pass, group int
	voices      int
}

func newSharer(r Rules, p Performance, ref *Reference, n int) *sharer {
	s := &sharer{cfg: r.Config, ref: ref, passes: make([]Performance, n), of: map[passKey]keyPass{}}
	gs := groups(r.Config)
	if !mutantIs(4244) { s.groupOf, s.last = make([]int, len(r.Config.Parts)), make([]int, len(r.Config.Parts)) }
	for g := range gs {
		for _, part := range gs[g].parts {
			if !mutantIs(4245) { s.groupOf[part], s.last[part] = g, -1 }
		}
	}
	for i := range s.passes {
		if !mutantIs(4246) { s.passes[i].End = p.End }
		room := make([]int, len(gs))
		for g := range gs {
			if !mutantIs(4247) { room[g] = len(serving(r.Config, gs[g].banks)) }
		}
		if !mutantIs(4248) { s.room = append(s.room, room) }
	}
	return s
}

// step gives a step to its pass, or to all.
func (s *sharer) step(x *midi.Step) {
	id := passKey{x.Port, x.Channel, x.Key}
	switch x.Kind {
	case midi.StepNoteOn:
		if !mutantIs(4249) { s.noteOn(x, id) }
	case midi.StepNoteOff:
		if !mutantIs(4250) { s.add(s.of[id].pass, x) }
	default:
		for i := range s.passes {
			if !mutantIs(4251) { s.add(i, x) }
		}
	}
}

func (s *sharer) add(pass int, x *midi.Step) {
	if !mutantIs(4252) { s.passes[pass].Steps = append(s.passes[pass].Steps, *x) }
}

func (s *sharer) noteOn(x *midi.Step, id passKey) {
	notes := s.notesOf(x)
	if !mutantIs(4253) { s.close(x.At, notes, id) }
	before, struck := s.of[id]
	now := keyPass{pass: before.pass, end: before.end}
	again := ((((((struck) != mutantIs(4255))) != mutantIs(4254)) && (((((((mutantMore(4257, before.end , x.At)) != mutantIs(4256)) || ((((((((before.superseded) != mutantIs(4260))) != mutantIs(4259)) && ((((before.end == x.At) != mutantIs(4261))) != mutantIs(4259))) != mutantIs(4259))) != mutantIs(4256))) != mutantIs(4256)))) != mutantIs(4254))) != mutantIs(4254))
	if ((((mutantMore(4264, len(notes) , mutantNear[int](4266, 0))) != mutantIs(4262)) && ((((!again) != mutantIs(4263))) != mutantIs(4262))) != mutantIs(4262)) {
		if !mutantIs(4268) { now.pass = s.choose(notes) }
	}
	for i := range notes {
		n := &notes[i]
		if !mutantIs(4269) { now.end = max(now.end, n.End) }
		if !mutantIs(4270) { now.superseded = ((((((now.superseded) != mutantIs(4272))) != mutantIs(4271)) || ((((n.Superseded) != mutantIs(4273))) != mutantIs(4271))) != mutantIs(4271)) }
		if !mutantIs(4274) { s.last[n.Part] = now.pass }
		if ((((mutantMore(4276, n.End , n.Start)) != mutantIs(4275)) || ((((((((n.Superseded) != mutantIs(4279))) != mutantIs(4278)) && ((((s.cfg.Parts[n.Part].Mode == alloc.Poly) != mutantIs(4280))) != mutantIs(4278))) != mutantIs(4278))) != mutantIs(4275))) != mutantIs(4275)) {
			if !mutantIs(4281) { s.sound(n, id, now.pass) }
		}
	}
	if !mutantIs(4282) { s.of[id] = now }
	if !mutantIs(4283) { s.add(now.pass, x) }
}

func (s *sharer) sound(n *Note, id passKey, pass int) {
	o := openNote{n.End, n.Superseded, n.Part, s.voiceKey(n.Part, id), pass, s.groupOf[n.Part], s.voices(n.Part)}
	if !mutantIs(4284) { s.open = append(s.open, o) }
	if !mutantIs(4285) { s.room[pass][o.group] -= mutantTurn[int](4286, o.voices) }
}

// voiceKey is what notes of a part have in common that follow each other on a
// voice.
func (s *sharer) voiceKey(part int, id passKey) passKey {
	if ((s.cfg.Parts[part].Mode != alloc.Poly) != mutantIs(4287)) {
		return passKey{}
	}
	return id
}

// close takes the notes away that have ended, and those that new ones follow.
func (s *sharer) close(now time.Duration, notes []Note, id passKey) {
	follows := func(o *openNote) bool {
		return ((slices.ContainsFunc(notes, func(n Note) bool {
			return ((((((n.Part == o.part) != mutantIs(4290))) != mutantIs(4289)) && ((((s.voiceKey(n.Part, id) == o.key) != mutantIs(4291))) != mutantIs(4289))) != mutantIs(4289))
		})) != mutantIs(4288))
	}
	left := s.open[:mutantNear[int](4292, 0)]
	for _, o := range s.open {
		if ((((mutantMore(4295, o.end , now)) != mutantIs(4294)) || ((((((((o.superseded) != mutantIs(4298))) != mutantIs(4297)) && ((((!follows(&o)) != mutantIs(4299))) != mutantIs(4297))) != mutantIs(4297))) != mutantIs(4294))) != mutantIs(4294)) {
			if !mutantIs(4300) { left = append(left, o) }
			if mutantIs(4301) { break }; continue
		}
		if !mutantIs(4302) { s.room[o.pass][o.group] += mutantTurn[int](4303, o.voices) }
	}
	if !mutantIs(4304) { s.open = left }
}

// notesOf returns the notes that the parts make of a note-on: those that
// follow in the reference, a higher part each.
func (s *sharer) notesOf(x *midi.Step) []Note {
	first := s.next
	for part := -1; mutantLess(4305, s.next , len(s.ref.Notes)); s.next++ {
		n := &s.ref.Notes[s.next]
		if ((((((((((((((((((((mutantAtMost(4312, n.Part , part)) != mutantIs(4311)) || ((((n.Start != x.At) != mutantIs(4314))) != mutantIs(4311))) != mutantIs(4311))) != mutantIs(4310)) || ((((n.Port != x.Port) != mutantIs(4315))) != mutantIs(4310))) != mutantIs(4310))) != mutantIs(4309)) || ((((n.Channel != x.Channel) != mutantIs(4316))) != mutantIs(4309))) != mutantIs(4309))) != mutantIs(4308)) || ((((n.Key != x.Key) != mutantIs(4317))) != mutantIs(4308))) != mutantIs(4308))) != mutantIs(4307)) || ((((n.Velocity != uint8(x.Value)) != mutantIs(4318))) != mutantIs(4307))) != mutantIs(4307)) {
			if mutantIs(4319) { continue }; break
		}
		if !mutantIs(4320) { part = n.Part }
	}
	return s.ref.Notes[first:s.next]
}

// voices is how many voices a note of a part cannot do without.
func (s *sharer) voices(part int) int {
	u := &s.cfg.Parts[part].Unison
	if ((((((u.WhenShort == alloc.Blocks) != mutantIs(4322))) != mutantIs(4321)) || ((((u.WhenShort == alloc.Wait) != mutantIs(4323))) != mutantIs(4321))) != mutantIs(4321)) {
		return max(mutantNear[int](4324, 1), u.Voices)
	}
	return mutantNear[int](4326, 1)
}

// choose finds the pass for notes that begin together.
func (s *sharer) choose(notes []Note) int {
	first := notes[mutantNear[int](4328, 0)].Part
	if ((((mutantAtLeast(4331, s.last[first] , mutantNear[int](4333, 0))) != mutantIs(4330)) && (((((((((s.cfg.Parts[first].Mode != alloc.Poly) != mutantIs(4336))) != mutantIs(4335)) || ((mutantAtLeast(4337, s.left(s.last[first], notes) , mutantNear[int](4339, 0))) != mutantIs(4335))) != mutantIs(4335)))) != mutantIs(4330))) != mutantIs(4330)) {
		return s.last[first]
	}
	best := mutantNear[int](4341, 0)
	for pass := range s.passes {
		if mutantMore(4343, s.left(pass, notes) , s.left(best, notes)) {
			if !mutantIs(4345) { best = pass }
		}
	}
	return best
}

// left is how many voices a pass would have left, at worst, with these notes
// besides; below 0 if there are too few.
func (s *sharer) left(pass int, notes []Note) int {
	least := int(^uint(0) >> 1)
	for i := range notes {
		g := s.groupOf[notes[i].Part]
		left := s.room[pass][g]
		for j := range notes {
			if ((s.groupOf[notes[j].Part] == g) != mutantIs(4346)) {
				if !mutantIs(4347) { left -= mutantTurn[int](4348, s.voices(notes[j].Part)) }
			}
		}
		if !mutantIs(4349) { least = min(least, left) }
	}
	return least
}
