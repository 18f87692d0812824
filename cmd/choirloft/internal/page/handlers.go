package page

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"path/filepath"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/take"
)

// deskView is what is on the desk.
type deskView struct {
	File   string   `json:"file"`
	Name   string   `json:"name"`
	Mark   string   `json:"fingerprint"`
	Text   string   `json:"text"`
	New    bool     `json:"new"` // it has no file yet
	Saved  bool     `json:"saved"`
	SaveAs string   `json:"save_as"`        // a name that no file of its folder has
	Rigs   []string `json:"rigs,omitempty"` // of the folder, which can be opened in its place
	State  string   `json:"state"`          // of the text, in words
	// Measure is the hint at what can be measured.
	Measure string     `json:"measure"`
	Faults  []located  `json:"faults"`
	Songs   []songView `json:"songs"`
	Rules   []ruleView `json:"rules"`
	// Words are what the words in cells of tables mean.
	Words map[string]string `json:"words"`
	Files []fileView        `json:"files"`
	// Edition changes with everything on the desk.
	Edition int64 `json:"edition"`
	// Strayed tells that the file is not what was last read or written.
	Strayed bool `json:"strayed"`
	// Voices in service, without overrides.
	InService int `json:"in_service"`
}

type songView struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// addedView is a song that was put on the desk, and the rig that was proposed for it, if any.
type addedView struct {
	songView
	// Proposes says of what the rig is made, or why none is; Unproposed is that alone.
	Proposes   string   `json:"proposes,omitempty"`
	Unproposed string   `json:"unproposed,omitempty"`
	Lines      []string `json:"lines,omitempty"`
}

// fileView is a kind of file to take away.
type fileView struct {
	Kind string `json:"kind"`
	Text string `json:"text"`
	Song bool   `json:"song"` // it is about a song
}

func (s *server) showDesk(w http.ResponseWriter, _ *http.Request) error { return send(w, s.view()) }

func (s *server) view() *deskView {
	d := s.desk
	d.mu.RLock()
	defer d.mu.RUnlock()
	v := &deskView{New: d.path == "", SaveAs: d.freeName(), Rigs: d.rigs(), Name: d.rig.Name, Mark: d.rig.Fingerprint(), Text: string(d.text), Saved: d.saved(),
		Edition: d.edition, Strayed: d.strayed,
		Faults: locate(d.faults), Songs: []songView{}, Files: fileKinds(),
		Rules: viewRules(), Words: say.Glossary()}
	if !v.New {
		v.File = filepath.Base(d.path)
	}
	v.State, v.Measure = say.TextState(len(d.faults), v.Saved, v.New), say.MeasureHint(maxRecording>>20)
	for i := range d.rig.Banks {
		v.InService += d.rig.InService(i)
	}
	for _, song := range d.songs {
		v.Songs = append(v.Songs, songView{song.ID, song.Name})
	}
	return v
}

// located is a fault of the rig's text.
type located struct {
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	File    string `json:"file"`
	Path    string `json:"path"`
	Message string `json:"message"`
	Hint    string `json:"hint"`
	Text    string `json:"text"` // all of it but the hint, as the command prints it
}

func locate(faults profiles.Faults) []located {
	list := make([]located, len(faults))
	for i, f := range faults {
		list[i] = located{f.Pos.Line, f.Pos.Column, f.Pos.File, f.Path, f.Message, f.Hint, unit.Printable(f.String())}
	}
	return list
}

// edit takes a text as the n-th edit of a tab, from 1: one that comes late is left out. Where
// no tab is named, it is taken.
func (s *server) edit(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		Text string `json:"text"`
		Edit int    `json:"edit"`
		origin
	}](w, r, 2*maxText)
	if err != nil {
		return err
	}
	s.editing.Lock()
	if body.Tab == "" || s.newest[body.Tab] < body.Edit {
		err = s.desk.edit([]byte(body.Text), body.origin)
		if len(s.newest) >= mostTabs || s.newest == nil {
			s.newest = map[string]int{}
		}
		s.newest[body.Tab] = body.Edit
	}
	s.editing.Unlock()
	if err != nil {
		return conflict(err)
	}
	return send(w, s.view())
}

// mostTabs are remembered; where there are more, all are forgotten.
const mostTabs = 1000

// saving says under which name a text is saved: none for that which it has.
type saving struct {
	Name *string `json:"name"`
	origin
}

func (s *server) save(w http.ResponseWriter, r *http.Request) error {
	var (
		body saving
		err  error
	)
	if r.ContentLength != 0 {
		if body, err = read[saving](w, r, 1<<16); err != nil {
			return err
		}
	}
	ctx := context.WithoutCancel(r.Context())
	if body.Name != nil {
		err = s.desk.saveAs(ctx, *body.Name, body.origin)
	} else {
		err = s.desk.save(ctx, body.origin)
	}
	if err != nil {
		return conflict(err)
	}
	return send(w, s.view())
}

// conflict gives the error of a file, or a text, that somebody else has changed its status.
func conflict(err error) error {
	if errors.Is(err, errOvertaken) {
		return &refusal{http.StatusPreconditionFailed, err.Error(), "look at what differs, and choose"}
	}
	if errors.Is(err, files.ErrChanged) || errors.Is(err, fs.ErrNotExist) {
		return &refusal{http.StatusConflict, err.Error(), "reload it, or copy your text elsewhere first"}
	}
	return err
}

func (s *server) reload(w http.ResponseWriter, _ *http.Request) error {
	if err := s.desk.Reload(); err != nil {
		return err
	}
	return send(w, s.view())
}

// sent is a MIDI file that a browser sends, and its name.
func (s *server) sent(w http.ResponseWriter, r *http.Request) (name string, song *midi.Song, err error) {
	name = cleanName(r.URL.Query().Get("name"))
	data, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxSong))
	if err != nil {
		return name, nil, err
	}
	song, err = s.desk.tools.ReadSong(name, data)
	return name, song, err
}

func (s *server) addSong(w http.ResponseWriter, r *http.Request) error {
	name, song, err := s.sent(w, r)
	if err != nil {
		return err
	}
	if take.Is(song) {
		return &refusal{http.StatusUnprocessableEntity, name + ": this is a take, which measures a rack, and no song", "add it with its recording on the Rack view, under Measure the rack"}
	}
	added, err := s.desk.Add(name, "", song)
	if err != nil {
		return err
	}
	v := addedView{songView: songView{added.ID, added.Name}, Proposes: added.Unproposed, Unproposed: added.Unproposed}
	if added.Proposes != nil {
		say.Fill(added.Proposes)
		v.Proposes = added.Proposes.Summary
		v.Lines = say.LineSentences(added.Proposes)
	}
	return send(w, &v)
}

// cleanName is a name to print: no path, nothing that is not printable, not
// long.
func cleanName(name string) string {
	name = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, name)
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	if runes := []rune(name); len(runes) > 100 {
		name = string(runes[:100])
	}
	if name == "" {
		return "song"
	}
	return name
}

func (s *server) removeSong(w http.ResponseWriter, r *http.Request) error {
	body, err := read[question](w, r, 1<<16)
	if err != nil {
		return err
	}
	if !s.desk.Remove(body.Song) {
		return noSong(body.Song)
	}
	return send(w, s.view())
}

func noSong(id string) error {
	return &refusal{http.StatusNotFound, "no song " + id + " on the desk", "drop it on the page again"}
}

// mapAnswer is what the page shows of a rig as it is set.
type mapAnswer struct {
	*contract.Map
	Faces []say.BankFace `json:"faces"`
	// States are what the rig's text says of each voice, in the order of Voices.
	States []stateView `json:"states"`
	Now    setView     `json:"now"`
	told
}

func (s *server) showMap(w http.ResponseWriter, r *http.Request) error {
	q, p, o, song, err := s.ask(w, r, false)
	if err != nil {
		return err
	}
	m := contract.NewMap(p)
	say.Fill(m)
	return send(w, &mapAnswer{m, say.Faces(m), viewStates(p.Unchanged), s.viewSet(p, o, song, q.dropped), tell(say.Map(m, say.Paper), paper.Drawings(m), s.command("map", o))})
}

// told is what the command says of the values beside it, and the drawings that
// stand in that, as SVG by name.
type told struct {
	Doc     *doc.Doc          `json:"doc"`
	Figures map[string]string `json:"figures,omitempty"`
}

// tell draws the figures of a document that a command gives.
func tell(d *doc.Doc, figures paper.Figures, command string) told {
	t := told{d, map[string]string{}}
	for name, svg := range paper.Drawn(d, figures, paper.Options{Command: command}) {
		t.Figures[name] = string(svg)
	}
	return t
}

func (s *server) play(w http.ResponseWriter, r *http.Request) error {
	_, x, err := s.asked(w, r)
	if err != nil {
		return err
	}
	return send(w, struct {
		Replay *contract.Replay `json:"replay"`
		Lanes  *contract.Lanes  `json:"lanes"`
		Marks  []string         `json:"marks"`
		told
	}{x.result, x.lanes, marksOf(&x.result.Result), told{Doc: say.Replay(x.result, say.Paper)}})
}

// marksOf says how each loss is marked in the picture: plain, faint or unheard, or
// unweighed where nobody listened.
func marksOf(r *contract.Result) []string {
	marks := make([]string, len(r.Losses))
	for i := range r.Losses {
		marks[i] = r.Weigh(&r.Losses[i]).String()
	}
	return marks
}
