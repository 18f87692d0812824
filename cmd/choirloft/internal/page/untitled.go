package page

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/pattern"
	"choirloft/routing/plan"
)

// errNoFile is the error of what needs the rig's file, while it has none.
var errNoFile = &refusal{http.StatusUnprocessableEntity, "this rig has no file yet", "save it under a name first"}

// NewUntitled is a desk with a rig to start from, which has no file yet. It is saved in a folder.
func NewUntitled(folder string, tools Tools) (*Desk, error) {
	d := newDesk(folder, tools)
	d.offer = profiles.Starter(profiles.StarterOptions{})
	if err := d.Edit(d.offer); err != nil {
		return nil, err
	}
	return d, nil
}

// where is the path of the rig's file. The error is [errNoFile] while there is none.
func (d *Desk) where() (string, error) {
	d.mu.RLock()
	defer d.mu.RUnlock()
	if d.path == "" {
		return "", errNoFile
	}
	return d.path, nil
}

// called is what faults call the rig's file.
func (d *Desk) called() string {
	if path, err := d.where(); err == nil {
		return path
	}
	return "new rig"
}

// typed is the rig in a command.
func (d *Desk) typed() string {
	if path, err := d.where(); err == nil {
		return path
	}
	return "RIG"
}

// untouched tells whether the desk has no file and no song, and the text that it began with.
func (d *Desk) untouched() bool {
	return d.path == "" && len(d.songs) == 0 && string(d.text) == string(d.offer)
}

// proposal is a rig for a song.
type proposal struct {
	text     []byte
	rig      *profiles.Rig
	channels *contract.Channels
}

// propose makes the rig for the first song of a desk that nobody has touched; nil for any other.
func (d *Desk) propose(name string, song *midi.Song) (*proposal, error) {
	d.mu.RLock()
	wanted := d.untouched()
	d.mu.RUnlock()
	if !wanted {
		return nil, nil
	}
	p, err := plan.ProposeFor(name, song, profiles.StarterOptions{})
	if err != nil {
		return nil, err
	}
	text, err := p.Rig()
	if err != nil {
		return nil, err
	}
	rig, faults := profiles.Read("new rig", text, nil)
	if len(faults) > 0 {
		return nil, faults
	}
	return &proposal{text, rig, contract.NewChannels(name, p)}, nil
}

// mostRigs are offered, of the files that are looked at.
const mostRigs, mostLooked = 12, 200

// rigs are those of the folder that the desk can open: it has no file, and nobody has touched its text.
func (d *Desk) rigs() (names []string) {
	if d.path != "" || string(d.text) != string(d.offer) {
		return nil
	}
	entries, _ := os.ReadDir(d.folder) // without it nothing is offered
	for _, e := range entries[:min(len(entries), mostLooked)] {
		if len(names) == mostRigs || !e.Type().IsRegular() || !fileName().MatchString(e.Name()) {
			continue
		}
		if data, err := onDisk(filepath.Join(d.folder, e.Name())); err == nil && profiles.LooksLikeRig(data) {
			names = append(names, e.Name())
		}
	}
	return names
}

// open puts a rig of the folder on a desk that offers it.
func (d *Desk) open(name string, by origin) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if !slices.Contains(d.rigs(), name) {
		return &refusal{http.StatusConflict, fmt.Sprintf("found %q, want a rig file of this folder, and no other rig under way", shortened(name)), "save what you have, and start choirloft serve with the file"}
	}
	path := filepath.Join(d.folder, name)
	data, err := onDisk(path)
	if err != nil {
		return err
	}
	folder, err := os.OpenRoot(d.folder)
	if err != nil {
		return err
	}
	defer folder.Close()
	rig, faults := profiles.Read(path, data, folder.FS())
	if len(faults) > 0 {
		return &refusal{http.StatusUnprocessableEntity, faults[0].String(), fmt.Sprintf("mend the file first: choirloft check %q", name)}
	}
	d.path, d.rig, d.faults, d.disk, d.strayed, d.looked = path, rig, nil, data, false, nil
	d.write(data, by)
	return nil
}

// openRig answers with the desk once it has a rig of its folder.
func (s *server) openRig(w http.ResponseWriter, r *http.Request) error {
	q, err := read[struct {
		Name string `json:"name"`
		origin
	}](w, r, 1<<16)
	if err != nil {
		return err
	}
	if err := s.desk.open(q.Name, q.origin); err != nil {
		return err
	}
	return send(w, s.view())
}

// fileName is a plain name of a rig file: no path, no flag, nothing hidden.
var fileName = pattern.Of(`^[\p{L}\p{N}_][\p{L}\p{M}\p{N} ._()+-]*\.ya?ml$`)

// longestFileName is the most bytes of a name, so that one beside it still fits: file systems end at 255.
const longestFileName = 200

// saveAs writes the text to a file that is not there yet, which is the rig's from then on.
func (d *Desk) saveAs(ctx context.Context, name string, by origin) error {
	if name != "" && !strings.Contains(name, ".") {
		name += ".yaml"
	}
	if !fileName().MatchString(name) || len(name) > longestFileName {
		return &refusal{http.StatusUnprocessableEntity, fmt.Sprintf("found the name %q, want letters, digits, spaces, - and _, with .yaml at the end", shortened(name)),
			"write " + d.offered()}
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	switch {
	case d.overtaken(by):
		return errOvertaken
	case len(d.faults) > 0:
		return fmt.Errorf("the rig has %d faults, a rig is saved only without faults", len(d.faults))
	}
	path := filepath.Join(d.folder, name)
	folder, err := os.OpenRoot(d.folder)
	if err != nil {
		return err
	}
	defer folder.Close()
	rig, faults := profiles.Read(path, d.text, folder.FS()) // which findings name
	if len(faults) > 0 {
		return faults
	}
	if _, err = os.Lstat(path); err == nil {
		err = fs.ErrExist // whatever it is
	} else {
		err = d.tools.Create(ctx, path, d.text)
	}
	if errors.Is(err, fs.ErrExist) {
		return &refusal{http.StatusConflict, name + " exists already", "take another name, such as " + d.freeName()}
	}
	if err != nil {
		return err
	}
	d.path, d.rig, d.disk, d.strayed, d.looked = path, rig, d.text, false, nil
	d.turn()
	return nil
}

// shortened is a name of which not too much is shown.
func shortened(name string) string {
	if all := []rune(name); len(all) > 60 {
		return string(all[:59]) + "…"
	}
	return name
}

func (d *Desk) offered() string {
	d.mu.RLock()
	defer d.mu.RUnlock()
	return d.freeName()
}

// freeName is a name after that of the rig which no file of the folder has.
func (d *Desk) freeName() string {
	base := strings.ToLower(profiles.PartNames([]string{d.rig.Name})[0])
	for n := 1; ; n++ {
		name := base + ".yaml"
		if n > 1 {
			name = base + "-" + strconv.Itoa(n) + ".yaml"
		}
		if _, err := os.Lstat(filepath.Join(d.folder, name)); err != nil || n > 1000 {
			return name
		}
	}
}
