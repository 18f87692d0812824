package page

import (
	"net/http"
	"slices"
	"sort"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/say"
)

// pictureView is what the page shows of a song that was played; what there is of each
// note stands in columns:
//
//	lane          by voice and one more: where its notes begin among the spans
//	start, up, low, end   of each span; see [contract.LaneSpan]
//	note, key, part       its note, sounding key, and place in parts
//	wrong         spans at the wrong pitch
//	mark_lane     where the marks of notes without a voice begin, then those of each voice, one more
//	mark, wanted  of each mark: when, and until when it would have been heard; 0 where nothing was taken
//	mark_loss     the place of its loss, −1 where that is not listed
//	mark_span     the span that it ends, or −1
//	weight        how much is heard: 0 not, 1 faint, 2 plain, 3 nobody listened
//	mark_kind     1: its tail alone is lost; 2: it began late
//	loss          when each loss is
//	bars          where each bar begins, from the first
//	held, pedal, audible  when the number of voices wanted changes, and to what: held_n …
type pictureView struct {
	shownView
	Seconds float64              `json:"seconds"`
	HasBars bool                 `json:"has_bars"`
	Lanes   []contract.LaneVoice `json:"voices"`
	Parts   []string             `json:"parts"`
	Keys    map[int]string       `json:"keys"` // names of those that sound
	// MostHeard are the losses that are heard most, empty where none is.
	MostHeard *doc.Doc `json:"most_heard"`
	told
}

// shownView is what the page shows of a part, or of all: what it wants, and its losses of
// a kind.
type shownView struct {
	Unit    float64      `json:"unit_s"` // of all times in columns, in seconds
	Voices  int          `json:"in_service"`
	Wants   wantsView    `json:"wants"`
	Chosen  chosenView   `json:"chosen"`
	Columns []columnView `json:"columns"`
	// Listening says that what is heard is still to come; empty where it is there.
	Listening string `json:"listening"`
}

// wantsView is beside which number of voices the wants of a part stand.
type wantsView struct {
	Part   string `json:"part"` // empty for all
	Voices int    `json:"voices"`
	Label  string `json:"label"`
	// Racked voices are there, without those that are bought and those that a setting leaves out; Bank is
	// by how many further banks would go. NotThere says what is above.
	Racked   int    `json:"racked"`
	Bank     int    `json:"bank"`
	NotThere string `json:"not_there"`
}

// chosenView is which losses are listed, and what there is to choose from.
type chosenView struct {
	Part  string           `json:"part"`
	Kind  string           `json:"kind"`
	Parts []say.LossChoice `json:"parts"`
	Kinds []say.LossChoice `json:"kinds"`
	Doc   *doc.Doc         `json:"doc"`
}

// mostMoments is how many losses stand before the picture.
const mostMoments = 3

// mostListed is how many losses are listed at once.
const mostListed = 200

// picture answers with what the page shows of a song as it is played.
func (s *server) picture(w http.ResponseWriter, r *http.Request) error {
	q, x, err := s.asked(w, r)
	if err != nil {
		return err
	}
	c, at := &columns{}, newClock(x.seconds())
	v := pictureView{shownView: x.shown(c, at, q.Part, q.Loss), Seconds: x.lanes.Seconds, HasBars: x.lanes.HasBars,
		Lanes: x.lanes.Voices, Parts: x.lanes.Parts, Keys: map[int]string{}, MostHeard: say.MostHeard(x.result, mostMoments), told: told{Doc: say.ReplayButLosses(x.result)}}
	x.spans(c, at, v.Keys)
	x.marked(c, at)
	v.Columns = c.List
	return c.send(w, v)
}

// shown answers with what the page shows of a part and of a kind of losses.
func (s *server) shown(w http.ResponseWriter, r *http.Request) error {
	q, x, err := s.asked(w, r)
	if err != nil {
		return err
	}
	c := &columns{}
	v := x.shown(c, newClock(x.seconds()), q.Part, q.Loss)
	v.Columns = c.List
	return c.send(w, v)
}

// loss answers with what there is to say about one loss, by its place.
func (s *server) loss(w http.ResponseWriter, r *http.Request) error {
	q, x, err := s.asked(w, r)
	if err != nil {
		return err
	}
	if q.Place < 0 || q.Place >= len(x.result.Losses) {
		return &refusal{http.StatusNotFound, "no such loss", "the song plays differently now"}
	}
	return send(w, told{Doc: say.OneLoss(x.result, q.Place)})
}

// seconds is when the last of the picture ends.
func (x *played) seconds() float64 {
	end := x.lanes.Seconds
	for i := range x.lanes.Spans {
		s := &x.lanes.Spans[i]
		end = max(end, s.EndS, s.WantedS)
	}
	return end
}

// shown adds what a part wants, and lists losses; a part that the rig has no more stands for all.
func (x *played) shown(c *columns, at clock, part, kind string) shownView {
	wants, v := &contract.Wants{Held: x.lanes.Held, Pedal: x.lanes.Pedal, Audible: x.lanes.Audible, Voices: x.result.Demand.Voices}, wantsView{}
	if i := slices.Index(x.lanes.Parts, part); i >= 0 {
		wants, v.Part = contract.NewWants(x.plan, x.replay, i), part
	}
	v.Voices, v.Label = wants.Voices, say.VoicesThere(v.Part, wants.Voices)
	if _, limit := x.plan.Serving(v.Part); limit > 0 && limit < v.Voices {
		v.Voices, v.Label = limit, say.HoldsAtMost(v.Part, limit)
	}
	if racked, bank, err := x.plan.Racked(v.Part); err == nil { // else settings are at odds without others
		v.Racked, v.Bank, v.NotThere = racked, bank, say.NotThere(racked)
	}
	for i, steps := range [][]contract.DepthStep{wants.Held, wants.Pedal, wants.Audible} {
		name := [...]string{"held", "pedal", "audible"}[i]
		c.u32(name, len(steps), func(i int) uint32 { return at.of(steps[i].AtS) })
		c.u32(name+"_n", len(steps), func(i int) uint32 { return uint32(steps[i].Voices) })
	}
	list := x.result.Choose(contract.LossFilter{Part: v.Part, Kind: kind})
	chosen := chosenView{Part: v.Part, Kind: kind, Doc: say.Chosen(x.result, list, mostListed)}
	chosen.Parts, chosen.Kinds = say.LossChoices(list)
	return shownView{Listening: x.listening, Unit: at.unit, Voices: x.result.Demand.Voices, Wants: v, Chosen: chosen}
}

// spans adds the notes, voice by voice.
func (x *played) spans(c *columns, at clock, keys map[int]string) {
	list := x.lanes.Spans
	n := len(list)
	c.u32("lane", len(x.lanes.Voices)+1, func(v int) uint32 {
		return uint32(sort.Search(n, func(i int) bool { return list[i].Voice > v }))
	})
	c.u32("start", n, func(i int) uint32 { return at.of(list[i].StartS) })
	c.u32("up", n, func(i int) uint32 { return at.of(list[i].UpS) })
	c.u32("low", n, func(i int) uint32 { return at.of(list[i].LowS) })
	c.u32("end", n, func(i int) uint32 { return at.of(list[i].EndS) })
	c.i32("note", n, func(i int) int { return list[i].Note })
	c.i16("key", n, func(i int) int { return list[i].Key })
	c.i16("part", n, func(i int) int { return list[i].Part })
	for i := range list {
		keys[list[i].Key] = list[i].KeyName
	}
	wrong := []int{}
	for i := range x.result.WrongOn(x.lanes) {
		wrong = append(wrong, i)
	}
	slices.Sort(wrong)
	c.i32("wrong", len(wrong), func(i int) int { return wrong[i] })
	c.u32("bars", len(x.lanes.Bars), func(i int) uint32 { return at.of(x.lanes.Bars[i].AtS) })
}

// marked adds the losses in their places, voice by voice.
func (x *played) marked(c *columns, at clock) {
	list := slices.Clone(x.marks)
	slices.SortStableFunc(list, func(a, b contract.LaneMark) int {
		if a.Voice != b.Voice {
			return a.Voice - b.Voice
		}
		switch {
		case a.AtS < b.AtS:
			return -1
		case a.AtS > b.AtS:
			return 1
		}
		return int(a.Weight) - int(b.Weight)
	})
	n := len(list)
	c.u32("mark_lane", len(x.lanes.Voices)+2, func(v int) uint32 {
		return uint32(sort.Search(n, func(i int) bool { return list[i].Voice >= v }))
	})
	c.u32("mark", n, func(i int) uint32 { return at.of(list[i].AtS) })
	c.u32("wanted", n, func(i int) uint32 { return at.of(list[i].WantedS) })
	c.i32("mark_loss", n, func(i int) int { return list[i].Loss })
	c.i32("mark_span", n, func(i int) int { return list[i].Span })
	c.u8("weight", n, func(i int) uint8 { return uint8(list[i].Weight) })
	c.u8("mark_kind", n, func(i int) (kind uint8) {
		if list[i].Tail {
			kind |= 1
		}
		if list[i].Ending == "late_start" {
			kind |= 2
		}
		return kind
	})
	c.u32("loss", len(x.result.Losses), func(i int) uint32 { return at.of(x.result.Losses[i].AtS) })
}
