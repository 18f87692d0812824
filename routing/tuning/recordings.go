package tuning

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"choirloft/alloc/crew"
	"choirloft/profiles"
)

// Heard is a recording and what it gave.
type Heard struct {
	File    string
	Reading Reading // its Hertz are 0 where Err is set
	Pitch   *Pitch  // nil where Err is set
	Err     error   // what keeps the file from being a reading
}

// maxRecordings is how many files of a folder are read.
const maxRecordings = 5000

// Listen reads the recordings of a folder, by name: the files that end in .wav,
// none below it. A file whose name, format or sound is of no use stands in the
// result with its error and keeps no other from being read. The error is that
// of the folder.
func Listen(folder fs.FS, rig *profiles.Rig) ([]Heard, error) {
	entries, err := fs.ReadDir(folder, ".")
	if err != nil {
		return nil, err
	}
	entries = slices.DeleteFunc(entries, func(e fs.DirEntry) bool {
		return e.IsDir() || !strings.EqualFold(path.Ext(e.Name()), ".wav")
	})
	switch {
	case len(entries) == 0:
		return nil, errors.New("no recording in the folder, want files such as K1_60.wav")
	case len(entries) > maxRecordings:
		return nil, fmt.Errorf("%d recordings in the folder, at most %d are read", len(entries), maxRecordings)
	}
	x := newInterpreter(rig)
	all := make([]Heard, len(entries))
	for i, e := range entries {
		h := &all[i]
		h.File = e.Name()
		if h.Err = regular(folder, h.File); h.Err == nil {
			h.Reading, h.Err = x.named(h.File)
		}
	}
	return all, crew.Do(context.Background(), len(all), func(context.Context) func(int) error {
		return func(i int) error {
			if all[i].Err == nil {
				all[i].listen(folder)
			}
			return nil
		}
	})
}

// regular refuses what would have to be waited for, such as a FIFO.
func regular(folder fs.FS, name string) error {
	info, err := fs.Stat(folder, name)
	if err == nil && !info.Mode().IsRegular() {
		return errors.New("this is not a file but a FIFO, a device or a folder by another name, so it is left out")
	}
	return err
}

// listen finds the pitch of a recording whose name is read.
func (h *Heard) listen(folder fs.FS) {
	f, err := folder.Open(h.File)
	if err != nil {
		h.Err = err
		return
	}
	defer f.Close()
	r, err := Decode(f)
	if err != nil {
		h.Err = err
		return
	}
	if h.Pitch, h.Err = PitchOf(r); h.Err == nil {
		h.Reading.Hertz = h.Pitch.Hertz
	}
}

// named takes a reading's voice, key or volts, and date from a file's name.
func (x *interpreter) named(name string) (Reading, error) {
	parts := strings.Split(strings.TrimSuffix(name, path.Ext(name)), "_")
	if len(parts) < 2 || len(parts) > 3 {
		return Reading{}, errors.New("its name says no voice and key, want a name such as K1_60.wav, K1_C4_2026-11-02.wav or K1_2.5V.wav")
	}
	pos := profiles.Pos{File: name, Line: 1, Column: 1}
	r := row{pos: pos, path: "its name", cells: map[string]cell{"voice": {parts[0], pos, "voice"}}}
	what := "key"
	if strings.HasSuffix(parts[1], "V") {
		what = "volts"
	}
	r.cells[what] = cell{parts[1], pos, what}
	if len(parts) == 3 {
		r.cells["date"] = cell{parts[2], pos, "date"}
	}
	return x.alone(r)
}

// alone reads what was sent and when, and gives the first fault as an error.
func (x *interpreter) alone(r row) (out Reading, err error) {
	x.faults = nil
	out.Pos = r.pos
	x.voice(r, &out)
	x.date(r, &out)
	if len(x.faults) == 0 {
		x.sent(r, &out)
	}
	if len(x.faults) > 0 {
		return out, errors.New("its name: " + x.faults[0].Message)
	}
	return out, nil
}

// Readings are those of the recordings that gave one.
func Readings(all []Heard) (readings []Reading) {
	for _, h := range all {
		if h.Err == nil {
			readings = append(readings, h.Reading)
		}
	}
	return readings
}
