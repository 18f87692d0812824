package page

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
	"choirloft/routing/setups"
	"choirloft/routing/whatif"
)

// setUpsAnswer are the set-ups of a rig.
type setUpsAnswer struct {
	*contract.SetUps
	Ways []setUpView `json:"ways"` // as they stand in set_ups
	told
}

// setUpView is how a set-up is shown: what is set then, with no other voices out than those that it leaves out.
type setUpView struct {
	Name  string              `json:"name"`
	Set   []contract.Override `json:"set"`
	Shown bool                `json:"shown"` // it is set so
	Plays bool                `json:"plays"` // some voice is left to a song
}

// setUps answers with the set-ups of the rig, and with what a song loses in each if one is named.
func (s *server) setUps(w http.ResponseWriter, r *http.Request) error {
	q, _, o, song, err := s.ask(w, r, false)
	if err != nil {
		return err
	}
	if q.Song != "" && song.MIDI == nil {
		return noSong(q.Song)
	}
	rig := s.desk.played()
	all, err := whatif.NewSetUps(rig, o)
	if err != nil {
		return err
	}
	whole := o
	whole.Without = nil
	p, err := plan.Build(rig, whole)
	if err != nil {
		return err
	}
	v, err := contract.NewSetUps(p, all, song.Name, song.MIDI)
	if err != nil {
		return err
	}
	say.Fill(v)
	answer := &setUpsAnswer{v, []setUpView{}, told{Doc: say.SetUps(v)}}
	for i, x := range all {
		then := o
		then.Without = x.Without
		same := slices.Equal(slices.Sorted(slices.Values(o.Without)), slices.Sorted(slices.Values(x.Without)))
		answer.Ways = append(answer.Ways, setUpView{v.SetUps[i].Name, contract.NewOverrides(then), same, x.Plan != nil})
	}
	return send(w, answer)
}

// repatchAnswer is the way from one set-up to another.
type repatchAnswer struct {
	*contract.Repatch
	told
}

// repatch answers as the command does: by the rig's text, whatever is tried beside it.
func (s *server) repatch(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		From string `json:"from"`
		To   string `json:"to"`
	}](w, r, 1<<16)
	if err != nil {
		return err
	}
	p, err := s.desk.plan(plan.Overrides{})
	if err != nil {
		return err
	}
	var at [2]int
	for i, name := range []string{body.From, body.To} {
		found, ok := setups.Find(p.Rig, name)
		if !ok {
			return noSetUp(p, name)
		}
		at[i] = found
	}
	c := contract.NewRepatch(p, at[0], at[1])
	say.Fill(c)
	return send(w, &repatchAnswer{c, told{Doc: say.Repatch(c, say.Paper)}})
}

func noSetUp(p *plan.Plan, name string) error {
	var names []string
	for i := range p.Rig.SetUps {
		names = append(names, p.Rig.SetUps[i].Name)
	}
	if len(names) == 0 {
		return &refusal{http.StatusNotFound, "the rig has no set-ups", "write them under set_ups, as in set_ups: {studio: {from: main}}"}
	}
	return &refusal{http.StatusNotFound, fmt.Sprintf("no set-up %q, the rig has %s", cleanName(name), strings.Join(names, ", ")), unit.DidYouMean(name, names)}
}

// outageAnswer is what it means that a voice fails.
type outageAnswer struct {
	*contract.Outage
	told
}

// outage answers as `map --without` does, with what a song loses if one is named.
func (s *server) outage(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		question
		Voice string `json:"voice"`
	}](w, r, 1<<20)
	if err != nil {
		return err
	}
	o, err := s.overrides(&body.question)
	if err != nil {
		return err
	}
	fails, err := whatif.NewOutage(s.desk.played(), o, body.Voice)
	if err != nil {
		return err
	}
	var played []contract.OutageSong
	if body.Song != "" {
		song, ok := s.desk.song(body.Song)
		if !ok {
			return noSong(body.Song)
		}
		before, after, without, err := fails.Play(song.MIDI)
		if err != nil {
			return err
		}
		played = append(played, contract.NewOutageSong(fails, song.Name, song.MIDI, before, after, without))
	}
	out := contract.NewOutage(fails, played, nil)
	say.Fill(out)
	return send(w, &outageAnswer{out, told{Doc: say.Outage(out, say.Paper)}})
}
