package page

import (
	"cmp"
	"errors"
	"net/http"
	"os"
	"slices"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/profiles/alter"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/listen"
	"choirloft/routing/plan"
)

// unisonQuestion asks about the unison of a part as it would be: with so many voices, so wide in
// cents, in a detune pattern. What is not said is as it is set.
type unisonQuestion struct {
	question
	Voices int      `json:"voices"`
	Width  *float64 `json:"width"`
	Law    string   `json:"law"`
	// Key is that which sounds, 0 to 2 of those that the answer names.
	Key int `json:"key"`
	// Narrow asks for a drawing for a narrow screen.
	Narrow bool `json:"narrow"`
}

// Widths of the picture of a unison, in mm.
const (
	usualPicture  = 180
	narrowPicture = 92
)

// unisonAnswer is a unison as it would be, and what the rig says of it.
type unisonAnswer struct {
	Part  string                 `json:"part"`
	Set   contract.UnisonSetting `json:"set"` // what is drawn
	Rig   contract.UnisonSetting `json:"rig"` // what is written
	Most  int                    `json:"most"`
	Says  string                 `json:"says"` // of the two beside each other
	Parts []string               `json:"parts"`
	Laws  []choiceView           `json:"laws"`
	Keys  []string               `json:"keys"` // at which it is drawn; none with one voice
	// Top tries the number of voices; it is empty where that is set already, and where the rig could not
	// be played so until the rest is written.
	Top []contract.Override `json:"top"`
	told
}

// unisonPlan is a plan with a unison as it would be, and the place of its part.
type unisonPlan struct {
	*plan.Plan
	at int
	o  plan.Overrides // what was set
}

func (p *unisonPlan) part() *profiles.Part { return &p.Rig.Parts[p.at] }

// askUnison reads a question about a unison, and makes the rig's text say it, on no desk.
func (s *server) askUnison(w http.ResponseWriter, r *http.Request) (q unisonQuestion, p *unisonPlan, err error) {
	if q, err = read[unisonQuestion](w, r, 1<<20); err != nil {
		return q, nil, err
	}
	o, err := s.overrides(&q.question)
	if err != nil {
		return q, nil, err
	}
	q.Part = cmp.Or(q.Part, inUnison(s.desk.played()))
	rig, err := s.desk.draft(alter.Deed{Do: "unison", Part: q.Part, Voices: q.Voices, Width: q.Width, Law: q.Law})
	if err != nil {
		return q, nil, err
	}
	top := o
	if q.Voices > 0 {
		top = o.With(plan.Overrides{Unison: plan.Only(q.Part, q.Voices)})
	}
	made, err := plan.Draft(rig, top)
	if err != nil {
		return q, nil, err
	}
	made.Map.Survey()
	p = &unisonPlan{made, slices.IndexFunc(made.Rig.Parts, func(x profiles.Part) bool { return x.Name == q.Part }), o}
	if p.at < 0 {
		return q, nil, &refusal{http.StatusNotFound, "no part " + q.Part, ""}
	}
	return q, p, nil
}

// inUnison is the first part of a rig that plays several voices on a note, or else its first.
func inUnison(rig *profiles.Rig) string {
	at := max(0, slices.IndexFunc(rig.Parts, func(p profiles.Part) bool { return p.Unison.Voices > 1 }))
	return rig.Parts[at].Name
}

// draft is the rig that the text would be once a deed is done.
func (d *Desk) draft(deed alter.Deed) (*profiles.Rig, error) {
	folder, err := os.OpenRoot(d.folder)
	if err != nil {
		return nil, err
	}
	defer folder.Close()
	d.mu.RLock()
	text := d.text
	d.mu.RUnlock()
	_, rig, err := alter.Do(d.called(), text, []alter.Deed{deed}, folder.FS())
	var faults profiles.Faults
	if errors.As(err, &faults) { // what is played is of a text that read well
		return nil, &alter.Refusal{Why: "the text has " + unit.Count(len(faults), "fault"), Hint: "correct those first, in the rig text"}
	}
	return rig, err
}

func (s *server) unison(w http.ResponseWriter, r *http.Request) error {
	q, p, err := s.askUnison(w, r)
	if err != nil {
		return err
	}
	v := &unisonAnswer{Part: q.Part, Set: contract.NewUnisonSetting(p.part()), Rig: contract.NewUnisonSetting(s.written(q.Part)), Most: len(p.Map.Players(p.at)),
		Parts: []string{}, Laws: viewPatterns(p.part()), Keys: []string{}, Top: []contract.Override{}}
	v.Says = say.UnisonTried(v.Set, v.Rig)
	for i := range p.Rig.Parts {
		v.Parts = append(v.Parts, p.Rig.Parts[i].Name)
	}
	u := contract.NewUnison(p.Plan, p.at)
	v.told = told{Doc: say.Unison(q.Part, u), Figures: map[string]string{}}
	if u != nil {
		width := float64(usualPicture)
		if q.Narrow {
			width = narrowPicture
		}
		v.Figures[say.FigureUnison] = string(draw.AppendSVG(nil, figures.Unison(u, width)))
		for _, k := range u.Keys {
			v.Keys = append(v.Keys, k.KeyName+" ("+strconv.Itoa(k.Key)+")")
		}
	}
	v.Top = s.tried(p, q.Part, v.Set.Voices)
	return send(w, v)
}

// written is a part as the rig's text has it.
func (s *server) written(part string) *profiles.Part {
	rig := s.desk.played()
	at := slices.IndexFunc(rig.Parts, func(x profiles.Part) bool { return x.Name == part })
	if at < 0 { // one that an override makes
		return &profiles.Part{}
	}
	return &rig.Parts[at]
}

// tried is the override that has so many voices on a note played, where the rig as it is written can be
// played so and it is not yet.
func (s *server) tried(p *unisonPlan, part string, voices int) []contract.Override {
	now, err := plan.Draft(s.desk.played(), p.o)
	if err != nil || p.at >= len(now.Rig.Parts) || now.Rig.Parts[p.at].Unison.Voices == voices {
		return []contract.Override{}
	}
	top := plan.Overrides{Unison: plan.Only(part, voices)}
	if _, err := plan.Draft(s.desk.played(), p.o.With(top)); err != nil {
		return []contract.Override{}
	}
	return contract.NewOverrides(top)
}

// viewPatterns are the detune patterns to choose from; one with an exponent of its own stands among them.
func viewPatterns(p *profiles.Part) (all []choiceView) {
	for _, t := range say.Patterns() {
		all = append(all, choiceView{t.Name, t.Name, t.Explained()})
	}
	if own := p.Unison.Pattern(); !slices.ContainsFunc(all, func(c choiceView) bool { return c.Name == own }) {
		all = append(all, choiceView{own, own, ""})
	}
	return all
}

// stackSound answers with a unison as sound: one key held, as [listen.NewHeld] has it. It stops where nobody
// waits for it any more.
func (s *server) stackSound(w http.ResponseWriter, r *http.Request) error {
	q, p, err := s.askUnison(w, r)
	if err != nil {
		return err
	}
	if q.Key < 0 || q.Key >= len(routing.Unison{}.Keys) {
		return &refusal{http.StatusBadRequest, "no key " + strconv.Itoa(q.Key) + ", want 0, 1 or 2", ""}
	}
	ctx := r.Context()
	done, err := s.begin(ctx)
	if err != nil {
		return err
	}
	defer done()
	sketch, _, err := listen.NewHeld(p.Plan, p.at, q.Key)
	if err != nil {
		return inaudible(err)
	}
	peaks, err := sketch.Loudest(ctx, loudLooked)
	if err != nil {
		return err
	}
	return sendSound(ctx, w, sketch, &listen.Take{Part: -1, Gain: peaks.Gain(), Name: p.Rig.Name + ": unison of " + p.part().Name,
		Sections: []listen.Section{{Version: listen.Played, To: sketch.Frames}}})
}
