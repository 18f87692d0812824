package files

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// journalName is what this user's journal is called in a folder.
var journalName = fmt.Sprintf(".choirloft-%d.journal", os.Geteuid())

// maxJournal is the largest journal that is read, in bytes.
const maxJournal = 16 << 20

// journal says which files go where, or in which folder the journal is that
// does. Names are relative to the folder of that journal where they are in it.
type journal struct {
	Version int      `json:"version"`
	Folder  string   `json:"folder,omitempty"` // of the journal that counts; empty for this one
	Others  []string `json:"others,omitempty"` // folders whose journals name this one
	Files   []entry  `json:"files,omitempty"`

	at string // its folder
}

// entry is one file.
type entry struct {
	Name string `json:"name"`
	New  string `json:"new"` // what is to stand there, until it does
	Old  string `json:"old"` // what stood there
	Was  *print `json:"was"` // of what stood there; null for nothing
	Is   print  `json:"is"`

	kept bool // as the old one, beside what comes
	done bool // it has its place already
}

// print tells one state of a file from others: renaming leaves it as it is.
type print struct {
	Size   int64     `json:"size"`
	Time   time.Time `json:"time"`
	Number uint64    `json:"number"`
}

func printOf(info fs.FileInfo) print {
	return print{info.Size(), info.ModTime().UTC(), number(info)}
}

func (p *print) is(info fs.FileInfo) bool {
	return info != nil && info.Mode().IsRegular() && info.Size() == p.Size && info.ModTime().Equal(p.Time) && number(info) == p.Number
}

// newJournal writes down what a run will do.
func (r *run) newJournal(list []*target) (*journal, error) {
	folders := r.folders()
	j := &journal{Version: 1, Others: folders[1:], at: folders[0]}
	for _, t := range list {
		info, err := r.lstat(t.temp)
		if err == nil && info == nil {
			err = fs.ErrNotExist
		}
		if err != nil {
			return nil, t.failed(err)
		}
		e := entry{Name: j.name(t.path), New: j.name(t.temp), Old: j.name(t.old), Is: printOf(info)}
		if t.was != nil {
			was := printOf(t.was)
			e.Was = &was
		}
		j.Files = append(j.Files, e)
	}
	return j, nil
}

func (j *journal) name(path string) string {
	if filepath.Dir(path) == j.at {
		return filepath.Base(path)
	}
	return path
}

func (j *journal) path(name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(j.at, name)
}

// write puts the journal on the disk, and those that name it before it.
func (d disk) writeJournal(j *journal) error {
	for _, folder := range j.Others {
		if err := d.putJournal(folder, &journal{Version: 1, Folder: j.at}); err != nil {
			return err
		}
	}
	return d.putJournal(j.at, j)
}

func (d disk) putJournal(folder string, j *journal) error {
	data, err := json.Marshal(j)
	if err != nil {
		return err
	}
	path := filepath.Join(folder, journalName)
	temp, err := d.create(path+".tmp", true)
	if errors.Is(err, fs.ErrExist) { // the folder is locked, so that is of a run that was killed
		if err := d.remove(path + ".tmp"); err != nil {
			return err
		}
		temp, err = d.create(path+".tmp", true)
	}
	if err != nil {
		return err
	}
	_, err = temp.Write(data)
	if err = errors.Join(err, temp.sync(), temp.close()); err == nil {
		err = d.rename(path+".tmp", path)
	}
	if err != nil {
		d.remove(path + ".tmp")
		return err
	}
	return d.settle(folder)
}

// removeJournal ends a run: the journal that counts goes first.
func (d disk) removeJournal(j *journal) error {
	for _, folder := range append([]string{j.at}, j.Others...) {
		if err := d.remove(filepath.Join(folder, journalName)); err != nil {
			return err
		}
	}
	return nil
}

// findJournal returns the journal in a folder, or nil where there is none of
// this user's.
func (d disk) findJournal(folder string) (*journal, error) {
	path := filepath.Join(folder, journalName)
	info, err := d.lstat(path)
	if err != nil {
		return nil, &Error{Name: path, Message: err.Error(), err: err}
	}
	if info == nil || !info.Mode().IsRegular() || !mine(info) {
		return nil, nil
	}
	data, err := d.read(path, maxJournal)
	if errors.Is(err, fs.ErrNotExist) { // its run has just ended
		return nil, nil
	}
	j := &journal{at: folder}
	if err == nil {
		err = json.Unmarshal(data, j)
	}
	if err == nil && (j.Version != 1 || j.Folder == "" && len(j.Files) == 0) {
		err = errors.New("it is no journal of this program")
	}
	if err != nil {
		return nil, &Error{Name: path, Message: fmt.Sprintf("an earlier run was cut off, and what it left cannot be read: %s", err), Hint: "look at the files it wrote, then remove this one", err: err}
	}
	return j, nil
}
