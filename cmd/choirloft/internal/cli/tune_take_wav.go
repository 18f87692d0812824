package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"choirloft/profiles"
	"choirloft/routing/take"
	"choirloft/routing/take/recorded"
	"choirloft/routing/tuning"
)

// recording opens what was recorded of a take: a file, or a folder with one for each
// voice, or with --bank for each bank.
func (t *tune) recording(played *take.Take) (opened []*os.File, r recorded.Recording, err error) {
	info, err := os.Stat(t.folder)
	if err != nil {
		return nil, r, unreadable(t.folder, err)
	}
	open := func(name string) error {
		f, sound, err := openSound(name)
		if err == nil {
			opened, r.Sounds = append(opened, f), append(r.Sounds, sound)
		}
		return err
	}
	switch {
	case info.Mode().IsRegular() && t.bank:
		return nil, r, &usageError{"--bank is for a folder of recordings, one for each bank", "name the folder with --wav, or leave --bank out"}
	case info.Mode().IsRegular():
		return opened, r, open(t.folder)
	case !info.IsDir():
		return nil, r, &fileError{t.folder, "this is neither a file nor a folder", "name a WAV file with --wav, or a folder of them"}
	}
	r.Path = profiles.PathAlone
	if t.bank {
		r.Path = profiles.PathBank
	}
	rig := played.Plan.Rig
	var names []string
	for i := range played.Parts {
		voice := &rig.Voices[played.Parts[i].Voice]
		name := voice.Name
		if t.bank {
			name = rig.Banks[voice.Bank].Name
		}
		at := slices.Index(names, name)
		if at < 0 {
			at, names = len(names), append(names, name)
			file, err := fileOf(t.folder, name)
			if err == nil {
				err = open(file)
			}
			if err != nil {
				return opened, r, err
			}
		}
		r.Of = append(r.Of, at)
	}
	return opened, r, nil
}

// fileOf is the recording of a voice or a bank in a folder: K1.wav, in any case.
func fileOf(folder, name string) (string, error) {
	all, err := os.ReadDir(folder)
	if err != nil {
		return "", unreadable(folder, err)
	}
	for _, e := range all {
		if ending := filepath.Ext(e.Name()); strings.EqualFold(ending, ".wav") && strings.EqualFold(strings.TrimSuffix(e.Name(), ending), name) {
			return filepath.Join(folder, e.Name()), nil
		}
	}
	return "", &fileError{folder, fmt.Sprintf("no recording of %s is here, want %s.wav", name, name), "name a file for each voice, or with --bank for each bank"}
}

func openSound(name string) (*os.File, *tuning.Sound, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, unreadable(name, err)
	}
	info, err := f.Stat()
	if err != nil {
		f.Close()
		return nil, nil, unreadable(name, err)
	}
	sound, err := tuning.OpenSound(f, info.Size())
	if err != nil {
		f.Close()
		return nil, nil, &fileError{name, err.Error(), ""}
	}
	return f, sound, nil
}
