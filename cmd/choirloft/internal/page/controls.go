package page

import (
	"net/http"
	"reflect"
	"slices"
	"strings"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
)

// question is what the page asks about a song and overrides: those that are typed,
// and on top of them those that are set.
type question struct {
	Song  string              `json:"song"`
	Flags []string            `json:"flags"`
	Set   []contract.Override `json:"set"`
	Pairs float64             `json:"pairs"` // seconds
	Kind  string              `json:"kind"`
	Paper string              `json:"paper"` // letter, or a4, which is the same as none
	Part  string              `json:"part"`  // of which demand and losses are shown
	Loss  string              `json:"loss"`  // the kind of them that are listed
	Place int                 `json:"place"` // of one loss
	Soon  bool                `json:"soon"`  // rather without what is heard than late
	// Top goes on top of what is set, and Voices, from 1, is how many are wanted of the part, or in all.
	Top    []contract.Override `json:"top"`
	Voices int                 `json:"voices"`
	// Version is that of an excerpt, asked, played or missing, and AtS where it is.
	Version string  `json:"version"`
	AtS     float64 `json:"at_s"`

	dropped []string // what is set, as it is typed, and names what the rig has no longer
}

// pages are the options of what is laid out on pages.
func (q *question) pages() (paper.Options, error) {
	switch q.Paper {
	case "", "a4", "letter":
		return paper.Options{Letter: q.Paper == "letter"}, nil
	}
	return paper.Options{}, &refusal{http.StatusBadRequest, "paper: found " + q.Paper + ", want a4 or letter", ""}
}

// overrides are those of a question. What is set stays in the address while the rig changes: what names a voice of a
// bank that is gone, say, is dropped.
func (s *server) overrides(q *question) (plan.Overrides, error) {
	typed, err := plan.ParseFlags(q.Flags)
	if err != nil {
		return typed, err
	}
	set, err := contract.ReadOverrides(q.Set)
	if err != nil {
		return typed, err
	}
	set, dropped := set.Known(s.desk.played())
	for _, w := range dropped {
		q.dropped = append(q.dropped, w.Flag+" "+w.Typed())
	}
	return typed.With(set), nil
}

// ask reads a question and finds what it is about; the song only where one is
// wanted.
func (s *server) ask(w http.ResponseWriter, r *http.Request, aboutSong bool) (q question, p *plan.Plan, o plan.Overrides, song Song, err error) {
	if q, err = read[question](w, r, 1<<20); err != nil {
		return q, nil, o, song, err
	}
	if o, err = s.overrides(&q); err != nil {
		return q, nil, o, song, err
	}
	if p, err = s.desk.plan(o); err != nil {
		return q, nil, o, song, err
	}
	if song, ok := s.desk.song(q.Song); ok {
		return q, p, o, song, nil
	}
	if aboutSong {
		err = noSong(q.Song)
	}
	return q, p, o, song, err
}

// setView is what the controls show: how the parts play now, and the command that
// plays them so.
type setView struct {
	Parts   []partView `json:"parts"`
	Command string     `json:"command"`
	Note    string     `json:"note"` // what is to be changed in it
}

type partView struct {
	Name    string `json:"name"`
	Pick    string `json:"pick"`
	Steal   string `json:"steal"`
	Tails   string `json:"tails"`
	SameKey string `json:"same_key"`
	Unison  int    `json:"unison"`
	// ReleaseS is the slowest of its voices, and Release says it.
	ReleaseS float64 `json:"release_s"`
	Release  string  `json:"release"`
}

func (s *server) viewSet(p *plan.Plan, o plan.Overrides, song Song, dropped []string) setView {
	v := setView{Command: s.command("replay", o, song.typed())}
	if song.MIDI != nil && song.Path == "" {
		v.Note = "Write where " + song.Name + " lies: a browser does not tell."
	}
	if _, err := s.desk.where(); err != nil {
		v.Note = strings.TrimSpace("Save the rig first: RIG stands for its file. " + v.Note)
	}
	v.Note = strings.TrimSpace(say.Dropped(dropped) + " " + v.Note)
	for i, slowest := range p.Rules.Slowest() {
		v.Parts = append(v.Parts, viewPart(&p.Rules.Config, i, slowest))
	}
	return v
}

// command is what one types for what the page shows, where serve was typed: a command about the
// rig, a song if there is one, and overrides.
func (s *server) command(name string, o plan.Overrides, song ...string) string {
	words := []string{"choirloft", name}
	for _, file := range append([]string{s.desk.typed()}, song...) {
		if strings.HasPrefix(file, "-") {
			file = "./" + file // it is no flag
		}
		words = append(words, file)
	}
	return say.Typed(append(words, o.Flags()...))
}

// viewPart says how a part plays, and how slowly the voice that its notes are asked for by.
func viewPart(cfg *alloc.Config, i, slowest int) partView {
	p := &cfg.Parts[i]
	v := partView{Name: p.Name, Pick: plan.Pick{First: p.Pick, Second: p.Second}.String(), Steal: p.Steal.String(),
		Tails: "known", SameKey: p.SameKey.String(), Unison: max(1, p.Unison.Voices)}
	if p.TailsUnknown {
		v.Tails = "unknown"
	}
	if slowest >= 0 {
		v.ReleaseS = cfg.Voices[slowest].Envelope.Release.Seconds()
	}
	v.Release = unit.Span(v.ReleaseS)
	return v
}

// setAnswer is what is set.
type setAnswer struct {
	Set []contract.Override `json:"set"`
}

// stack answers with what is set once something is put on top of it.
func (s *server) stack(w http.ResponseWriter, r *http.Request) error {
	q, err := read[question](w, r, 1<<20)
	if err != nil {
		return err
	}
	o, err := s.overrides(&q)
	if err != nil {
		return err
	}
	top, err := contract.ReadOverrides(q.Top)
	if err != nil {
		return err
	}
	o = o.With(top)
	if q.Voices > 0 {
		if o, err = o.ForVoices(s.desk.played(), q.Part, q.Voices); err != nil {
			return err
		}
	}
	return send(w, &setAnswer{contract.NewOverrides(o)})
}

// keptView is the desk once overrides are in its text, and those that are left.
type keptView struct {
	Desk  *deskView           `json:"desk"`
	Flags []string            `json:"flags"`
	Set   []contract.Override `json:"set"`
	Says  string              `json:"says"`
}

// keep writes what is set into the text, with what is put on top of it; what is bought too, if so asked.
func (s *server) keep(w http.ResponseWriter, r *http.Request) error {
	q, err := read[struct {
		question
		Bought bool `json:"bought"`
		origin
	}](w, r, 1<<20)
	if err != nil {
		return err
	}
	o, err := s.overrides(&q.question)
	if err != nil {
		return err
	}
	top, err := contract.ReadOverrides(q.Top)
	if err != nil {
		return err
	}
	write := plan.Keep
	if q.Bought {
		write = plan.KeepBought
	}
	left, err := s.desk.keep(o.With(top), write, q.origin)
	if err != nil {
		return conflict(err)
	}
	return send(w, &keptView{s.view(), append([]string{}, left.Flags()...), contract.NewOverrides(left), say.Kept(left.Flags())})
}

// wayView says whether a fix can be tried, and written into the rig; or why it cannot be written.
type wayView struct {
	Try   bool   `json:"try"`
	Write bool   `json:"write"`
	Why   string `json:"why"`
}

// viewWays are what can be done with fixes.
func viewWays(fixes []contract.Fix) ([]wayView, error) {
	ways := make([]wayView, len(fixes))
	for i := range fixes {
		o, err := contract.ReadOverrides(fixes[i].Overrides)
		if err != nil {
			return nil, err
		}
		played, untold := fixes[i].Command == "replay", reflect.DeepEqual(o, o.Untold())
		if ways[i] = (wayView{Try: played, Write: played && !untold}); !ways[i].Write {
			ways[i].Why = say.FixUntold(played, o.EditsSong())
		}
	}
	return ways, nil
}

// ruleView is a kind of rule, by its key, with what can be chosen.
type ruleView struct {
	Key     string       `json:"key"`
	About   string       `json:"about"`
	Choices []choiceView `json:"choices"`
}

// choiceView is a rule: its name, what it is called, and what it does.
type choiceView struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	About string `json:"about"`
}

// viewRules are the rules that the page lets choose among. Tails are told by what a
// rule hears.
func viewRules() (all []ruleView) {
	for _, kind := range alloc.Rules() {
		if !slices.Contains([]string{"pick", "steal", "tails", "same_key"}, kind.Key) {
			continue
		}
		v := ruleView{Key: kind.Key, About: kind.About}
		for _, r := range kind.Rules {
			c := choiceView{r.Name, r.Name, r.About}
			if kind.Key == "tails" {
				c.Label = say.Hearing(r.Name)
			}
			v.Choices = append(v.Choices, c)
		}
		all = append(all, v)
	}
	return all
}
