package contract

import (
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// SetUps are the complete ways in which a rack is patched, and what a song loses in each.
type SetUps struct {
	Version     int     `json:"version"`
	Rig         string  `json:"rig"`
	Fingerprint string  `json:"fingerprint"`
	Summary     string  `json:"summary"`
	SetUps      []SetUp `json:"set_ups"` // as the rig has them
	Song        *Song   `json:"song"`    // null without one
}

// SetUp is one of them.
type SetUp struct {
	Name    string      `json:"name"`
	From    []string    `json:"from"`    // interfaces, or a sequencer
	Parts   []SetUpPart `json:"parts"`   // of a sequencer
	Dealt   []string    `json:"dealt"`   // voices in service that the interfaces play, each by itself
	Silent  []string    `json:"silent"`  // voices in service that nothing plays
	Without []string    `json:"without"` // voices to take out, so that a song is played as in this set-up
	Cables  int         `json:"cables"`
	// Cost is that of the song on the voices that are dealt, and Leaves what plays wrong;
	// null without a song, or where no voice is left to it.
	Cost   *Cost  `json:"cost"`
	Leaves *Wrong `json:"leaves"`
}

// SetUpPart is a part of a sequencer, and the banks that it plays, each as one voice.
type SetUpPart struct {
	Part  int      `json:"part"`
	Banks []string `json:"banks"`
}

// NewSetUps returns the set-ups of a plan's rig, with what a song loses in each; nil for no song.
func NewSetUps(p *plan.Plan, all []*whatif.InSetUp, file string, song *midi.Song) (*SetUps, error) {
	r := &SetUps{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), SetUps: []SetUp{}}
	for _, x := range all {
		u := newSetUp(p.Rig, x)
		if song != nil && x.Plan != nil {
			played, err := x.Play(song)
			if err != nil {
				return nil, err
			}
			u.Cost, u.Leaves = new(playedCost(played)), new(leaves(x.Plan, played.Replay))
			r.Song = playedSong(song, file, played.Replay)
		}
		r.SetUps = append(r.SetUps, u)
	}
	return r, nil
}

func playedSong(song *midi.Song, file string, replay *study.Replay) *Song {
	return new(newSong(song, file, replay.Rig.Tally.Notes, seconds(replay.Reference.End)))
}

func newSetUp(rig *profiles.Rig, x *whatif.InSetUp) SetUp {
	s := &rig.SetUps[x.SetUp]
	u := SetUp{Name: s.Name, From: []string{}, Parts: []SetUpPart{}, Dealt: voiceNames(rig, x.Dealt), Silent: voiceNames(rig, x.Silent),
		Without: append([]string{}, x.Without...), Cables: x.Cables}
	if s.Sequenced {
		u.From = append(u.From, rig.Sequencers[s.From].Name)
	} else {
		for _, i := range append([]int{s.From}, s.Also...) {
			u.From = append(u.From, rig.Interfaces[i].Name)
		}
	}
	for _, part := range s.Parts {
		x := SetUpPart{Part: part.Part, Banks: []string{}}
		for _, bank := range part.Banks {
			x.Banks = append(x.Banks, rig.Banks[bank].Name)
		}
		u.Parts = append(u.Parts, x)
	}
	return u
}
