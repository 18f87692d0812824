package page

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// Limits of what lies on a desk.
const (
	maxText  = profiles.MaxBytes // of a rig
	maxSong  = 64 << 20          // bytes
	maxSongs = 100
)

// Song is a song on the desk.
type Song struct {
	ID   string
	Name string // as it was given
	Path string // where the program finds it; empty where a browser has sent it, which does not tell
	MIDI *midi.Song
	// Proposes is what it does on its channels, where the rig on the desk is proposed for it.
	Proposes   *contract.Channels
	Unproposed string // why none is, where one should be
}

// typed is the song in a command.
func (s *Song) typed() string { return cmp.Or(s.Path, s.Name, "SONG") }

// Tools are what the desk does not do by itself.
type Tools struct {
	// ReadSong reads a MIDI file.
	ReadSong func(name string, data []byte) (*midi.Song, error)
	// Write puts a text in the place of what was read of a file, all of it or
	// nothing. The error is [files.ErrChanged] where that is no longer there.
	Write func(ctx context.Context, path string, was, text []byte) error
	// Scratch makes a file for what is too large for the memory. Whoever asks for it closes and removes it.
	Scratch func() (*os.File, error)
	// Create writes a text to a file that is not there yet; the error is [fs.ErrExist] where it is.
	Create func(ctx context.Context, path string, text []byte) error
	// Bug, if there is one, hears of each request that met a bug of ours. It may
	// be called by several goroutines.
	Bug func(*crew.Panic)
}

// Desk holds a rig that is being worked on, and songs. It may be used by
// several goroutines.
type Desk struct {
	tools  Tools
	folder string // of the rig's file, and of profiles

	mu     sync.RWMutex
	path   string // of the rig's file; empty while it has none
	offer  []byte // the text that a desk without a file began with, or that a song proposed
	text   []byte
	disk   []byte          // the file, as it was last read or written
	rig    *profiles.Rig   // the last that read well
	faults profiles.Faults // of the text
	songs  []Song
	next   int

	edition int64         // changes with everything above
	changed chan struct{} // is closed then
	written origin        // of the last change of the text: by whom, and what it made of the edition
	looked  os.FileInfo   // of the file
	strayed bool          // it is not what was last read or written
}

// origin is a tab that changes the text, and the edition of the desk that it goes by. Who names no
// tab goes by whatever there is.
type origin struct {
	Tab  string `json:"tab"`
	From int64  `json:"from"`
}

// NewDesk reads the rig file. The error is a [profiles.Faults] where it could be
// read and is not right: there must be something to work on.
func NewDesk(path string, tools Tools) (*Desk, error) {
	d := newDesk(filepath.Dir(path), tools)
	d.path = path
	if err := d.Reload(); err != nil {
		return nil, err
	}
	if d.rig == nil {
		return nil, d.faults
	}
	return d, nil
}

func newDesk(folder string, tools Tools) *Desk {
	return &Desk{tools: tools, folder: folder, edition: rand.Int64N(1 << 50)} // another than before, for pages that stayed open
}

// Reload reads the rig file anew and forgets what was not saved.
func (d *Desk) Reload() error {
	path, err := d.where()
	if err != nil {
		return err
	}
	data, err := onDisk(path)
	if err != nil {
		return err
	}
	d.mu.Lock()
	d.disk, d.strayed = data, false
	d.mu.Unlock()
	return d.Edit(data)
}

// Edit changes the text on the desk. Where it has faults the last rig that read
// well goes on being played.
func (d *Desk) Edit(text []byte) error { return d.edit(text, origin{}) }

// edit is Edit by a tab. The error is [errOvertaken] where another has been there before.
func (d *Desk) edit(text []byte, by origin) error {
	if len(text) > maxText {
		return fmt.Errorf("a rig of %d bytes, want at most %d", len(text), maxText)
	}
	folder, err := os.OpenRoot(d.folder) // follows no link out of it
	if err != nil {
		return err
	}
	defer folder.Close()
	rig, faults := profiles.Read(d.called(), text, folder.FS())
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.overtaken(by) {
		return errOvertaken
	}
	d.write(text, by)
	if d.faults = faults; len(faults) == 0 {
		d.rig = rig
	}
	return nil
}

// errOvertaken is the error of a change by a tab that has not seen what another has written.
var errOvertaken = errors.New("another tab has changed the rig text meanwhile")

// overtaken tells whether another tab has written since what a tab goes by.
func (d *Desk) overtaken(by origin) bool {
	return by.Tab != "" && by.From > 0 && d.written.Tab != by.Tab && d.written.From > by.From
}

// write puts a text on the desk, and turn tells of it.
func (d *Desk) write(text []byte, by origin) {
	d.turn()
	if !bytes.Equal(text, d.text) {
		d.written = origin{by.Tab, d.edition}
	}
	d.text = bytes.Clone(text)
}

// turn gives the desk its next edition, and tells those who wait for it.
func (d *Desk) turn() {
	d.edition++
	if d.changed != nil {
		close(d.changed)
		d.changed = nil
	}
}

// Keep writes overrides into the text on the desk, as far as a rig can say
// them, and returns those that are left.
func (d *Desk) Keep(o plan.Overrides, by origin) (left plan.Overrides, err error) {
	return d.keep(o, plan.Keep, by)
}

// keeping is [plan.Keep], or what writes more.
type keeping func(*profiles.Rig, []byte, plan.Overrides, fs.FS) ([]byte, *profiles.Rig, plan.Overrides, error)

func (d *Desk) keep(o plan.Overrides, write keeping, by origin) (left plan.Overrides, err error) {
	folder, err := os.OpenRoot(d.folder)
	if err != nil {
		return o, err
	}
	defer folder.Close()
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.faults) > 0 {
		return o, fmt.Errorf("the text has %d faults, mend those first", len(d.faults))
	}
	if d.overtaken(by) {
		return o, errOvertaken
	}
	text, rig, left, err := write(d.rig, d.text, o, folder.FS())
	if err != nil {
		return o, err
	}
	d.write(text, by)
	d.rig = rig
	return left, nil
}

// Save writes the text to the rig file: never with faults, and never over what
// somebody else has written there.
func (d *Desk) Save(ctx context.Context) error { return d.save(ctx, origin{}) }

// save is Save by a tab. The error is [errOvertaken] where the text is not what it goes by.
func (d *Desk) save(ctx context.Context, by origin) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.overtaken(by) {
		return errOvertaken
	}
	if len(d.faults) > 0 {
		return fmt.Errorf("the rig has %d faults, a rig is saved only without faults", len(d.faults))
	}
	if d.path == "" {
		return errNoFile
	}
	if err := d.tools.Write(ctx, d.path, d.disk, d.text); err != nil {
		return err
	}
	d.disk, d.strayed = d.text, false
	d.turn()
	return nil
}

// saved tells whether the text is that of the file as it was last read or
// written.
func (d *Desk) saved() bool { return d.path != "" && bytes.Equal(d.text, d.disk) }

// Add puts a song on the desk, which gives it a name of its own. The path is where the program
// finds it, if it does. On a desk without a file on which nobody has changed anything, the first song
// proposes the rig.
func (d *Desk) Add(name, path string, song *midi.Song) (Song, error) {
	proposed, unable := d.propose(name, song)
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.songs) == maxSongs {
		return Song{}, fmt.Errorf("%d songs are open, and that is the most", maxSongs)
	}
	d.next++
	s := Song{ID: strconv.Itoa(d.next), Name: name, Path: path, MIDI: song}
	if unable != nil {
		s.Unproposed = "No rig is proposed for it: " + unable.Error() + "."
	}
	if proposed != nil && d.untouched() {
		d.write(proposed.text, origin{})
		d.offer, d.rig, s.Proposes = proposed.text, proposed.rig, proposed.channels
	}
	d.songs = append(d.songs, s)
	d.turn()
	return s, nil
}

// Remove takes a song off the desk, and tells whether it was there.
func (d *Desk) Remove(id string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	n := len(d.songs)
	d.songs = slices.DeleteFunc(slices.Clone(d.songs), func(s Song) bool { return s.ID == id })
	if len(d.songs) == n {
		return false
	}
	d.turn()
	return true
}

// song returns a song on the desk; ok is false where there is none of that
// name.
func (d *Desk) song(id string) (s Song, ok bool) {
	d.mu.RLock()
	defer d.mu.RUnlock()
	i := slices.IndexFunc(d.songs, func(s Song) bool { return s.ID == id })
	if i < 0 {
		return Song{}, false
	}
	return d.songs[i], true
}

// all are the songs on the desk.
func (d *Desk) all() []Song {
	d.mu.RLock()
	defer d.mu.RUnlock()
	return d.songs
}

// plan makes the plan of the rig with some overrides.
func (d *Desk) plan(o plan.Overrides) (*plan.Plan, error) {
	return plan.Build(d.played(), o)
}

// played is the rig that is played: of the last text that read well.
func (d *Desk) played() *profiles.Rig {
	d.mu.RLock()
	defer d.mu.RUnlock()
	return d.rig
}
