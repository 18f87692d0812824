package contract

import (
	"cmp"
	"fmt"
	"slices"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// NewOutage returns what it means that a voice fails, with songs that were
// played and those that could not be.
func NewOutage(o *whatif.Outage, songs []OutageSong, failed []Failure) *Outage {
	rig := o.Before.Rig
	r := &Outage{Version: Version, MiddleC: int(rig.MiddleC), Rig: rig.Name, Fingerprint: o.Code(), Out: rig.Voices[o.Voice].Name, Asks: o.Asks,
		Cables: []OutageCable{}, Map: []MapVoice{}, Before: []MapVoice{}, Parts: []OutagePart{}, Songs: songs, Failed: failed}
	if o.StandIn >= 0 {
		r.StandIn, r.For = &rig.Voices[o.StandIn].Name, &rig.Voices[o.For].Name
	}
	names := cableNames(o.Before.Map)
	for _, c := range o.Cables {
		r.Cables = append(r.Cables, newOutageCable(rig, c, names))
	}
	r.lines(o)
	for i := range rig.Parts {
		if was, is := serving(o.Before, i), serving(o.After, i); was != is {
			r.Parts = append(r.Parts, OutagePart{rig.Parts[i].Name, was, is})
		}
	}
	r.New = newFindings(slices.DeleteFunc(slices.Clone(o.After.Findings), func(f routing.Finding) bool {
		return slices.ContainsFunc(o.Before.Findings, func(g routing.Finding) bool { return g.Code == f.Code && g.Text == f.Text })
	}))
	if r.Songs == nil {
		r.Songs = []OutageSong{}
	}
	if r.Failed == nil {
		r.Failed = []Failure{}
	}
	return r
}

func newOutageCable(rig *profiles.Rig, c whatif.OutageCable, names map[plugOf]string) OutageCable {
	out := OutageCable{Cable: names[plugOf{c.From.JackName(rig), c.Input.Name(rig)}], From: jackWords(rig, &c.From), Input: c.Input.Name(rig), Others: []string{}, BendCents: c.Bend}
	for _, other := range c.Others {
		out.Others = append(out.Others, other.Name(rig))
	}
	if c.To >= 0 {
		to := routing.Input{Bank: c.Input.Bank, Voice: c.To, Input: c.Input.Input}.Name(rig)
		out.MovesTo = &to
	}
	return out
}

// jackWords names a jack: main cv 3.
func jackWords(rig *profiles.Rig, o *routing.Outlet) string {
	f := &rig.Interfaces[o.Interface]
	return fmt.Sprintf("%s %s %d", f.Name, jackKind(o.GateJack, f.Outputs > 0), o.Jack)
}

// lines keeps the voices whose line on the map changes.
func (r *Outage) lines(o *whatif.Outage) {
	before, after := NewMap(o.Before), NewMap(o.After)
	for i := range after.Voices {
		if was, is := &before.Voices[i], &after.Voices[i]; !is.sameLine(was) {
			r.Map, r.Before = append(r.Map, *is), append(r.Before, *was)
		}
	}
}

// sameLine tells whether the line of a voice on the map is the same as another.
func (v *MapVoice) sameLine(other *MapVoice) bool {
	cents, pan, varies := v.Tuned()
	otherCents, otherPan, otherVaries := other.Tuned()
	return v.Voice == other.Voice && v.State == other.State && v.LowKey == other.LowKey && v.HighKey == other.HighKey &&
		same(v.StandsInFor, other.StandsInFor) && v.Pitch.sameJack(other.Pitch) && v.Gate.sameJack(other.Gate) &&
		same(cents, otherCents) && same(pan, otherPan) && varies == otherVaries && v.PartList() == other.PartList()
}

// sameJack tells whether a jack and its address are the same as another.
func (j *Jack) sameJack(other *Jack) bool {
	if j == nil || other == nil {
		return j == other
	}
	return j.Interface == other.Interface && j.Kind == other.Kind && j.Jack == other.Jack && same(j.Port, other.Port) && same(j.Channel, other.Channel)
}

// serving counts the voices that a part may play on.
func serving(p *plan.Plan, part int) (n int) {
	for _, v := range p.Rules.Config.Voices {
		if v.State.InService() && slices.Contains(p.Rules.Config.Parts[part].Banks, v.Bank) {
			n++
		}
	}
	return n
}

// NewOutageSong returns what changes in a song that was read from file and
// played before and after, and without the spare where one stands in.
func NewOutageSong(o *whatif.Outage, file string, song *midi.Song, before, after, without *whatif.Played) OutageSong {
	p := o.After
	b := &builder{rig: p.Rig, cfg: &p.Rules.Config, song: song, replay: after.Replay, seconds: seconds(after.Reference.End), names: map[int]string{}}
	s := OutageSong{Song: newSong(song, file, after.Rig.Tally.Notes, b.seconds), Before: playedCost(before), After: playedCost(after),
		BeforeLeaves: leaves(o.Before, before.Replay), AfterLeaves: leaves(p, after.Replay), More: []Loss{}}
	if without != nil {
		c := playedCost(without)
		left := leaves(o.Without, without.Replay)
		s.Without, s.WithoutLeaves = &c, &left
	}
	heard := heardEndings(after)
	for _, i := range more(before, after, heard) {
		l := b.loss(&after.Reference.Notes[i], &after.Outcomes[i])
		if x := heard[i]; x != nil {
			l.HeardOne = heardOne(x)
		} else if after.Heard != nil {
			l.HeardOne = &HeardOne{Kind: kindOf(starts(after.Outcomes[i].Ending))}
		}
		s.More = append(s.More, l)
	}
	return s
}

// louder is by how many dB more a loss is heard that was heard before, to be told again.
const louder = 0.5

// more are the notes that are lost after and were not before, and those whose loss is
// heard and was not, or not so much.
func more(before, after *whatif.Played, heard map[int]*hearing.Loss) []int {
	notes, was := whatif.Newly(before.Replay, after.Replay), heardEndings(before)
	for note, x := range heard {
		if y := was[note]; x.Heard && (y == nil || !y.Heard || x.Worst > y.Worst+louder) {
			notes = append(notes, note)
		}
	}
	slices.Sort(notes)
	return slices.Compact(notes)
}

// heardEndings are what is heard of the endings of notes, by note.
func heardEndings(p *whatif.Played) map[int]*hearing.Loss {
	all := map[int]*hearing.Loss{}
	if p.Heard != nil {
		for i := range p.Heard.Losses {
			if x := &p.Heard.Losses[i]; x.Played >= 0 && p.Outcomes[x.Played].Ending != study.Complete && ends(x.What, p.Outcomes[x.Played].Ending) {
				all[int(x.Played)] = x
			}
		}
	}
	return all
}

// playedCost is the cost of a song with what is heard of it.
func playedCost(p *whatif.Played) Cost {
	c := cost(&p.Rig.Tally.Score)
	if h := p.Heard; h != nil {
		c.Heard = heardAfter(&h.Whole)
	}
	return c
}

// leaves is what plays wrong in a song that was played by a plan.
func leaves(p *plan.Plan, r *study.Replay) Wrong {
	return Wrong{r.Rig.Tally.Missed, r.Reference.Unmapped, len(p.WithoutJack())}
}

// Worst returns the places of up to n of the losses that are new, the worst first; where
// it is known what is heard of them only those that are heard, most of all first.
func (s *OutageSong) Worst(n int) []int {
	order := worst(s.More)
	if s.After.Heard != nil {
		order = slices.DeleteFunc(order, func(at int) bool { return s.More[at].HeardDB == nil })
		slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(*s.More[j].HeardDB, *s.More[i].HeardDB) })
	}
	return order[:min(n, len(order))]
}
