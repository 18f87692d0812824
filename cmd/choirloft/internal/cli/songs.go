package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// maxSong is the largest song that is read, in bytes, and maxNotes the most
// notes that are played: what is kept of each note is a few hundred bytes.
const (
	maxSong  = 64 << 20
	maxNotes = 1_000_000
)

// standardInput is how it is named among songs.
const standardInput = "-"

// source is a song to be played, or what is wrong with where it should be.
type source struct {
	path string
	err  error
}

// collect returns the songs that the arguments stand for: a folder for all
// those in it and below, sorted. A song that is named twice stays twice.
func collect(args []string) ([]source, error) {
	var songs []source
	inputs := 0
	for _, arg := range args {
		if arg == standardInput {
			inputs++
		}
		info, err := os.Stat(arg)
		if arg == standardInput || err != nil || !info.IsDir() {
			songs = append(songs, source{path: arg})
			continue
		}
		songs = append(songs, songsIn(arg)...)
	}
	if inputs > 1 {
		return nil, &usageError{fmt.Sprintf("standard input is named %d times, it can be read once", inputs), ""}
	}
	return songs, nil
}

// songsIn returns the songs in a folder and below it. A folder that cannot be
// read stands among them with its error.
func songsIn(folder string) []source {
	var songs []source
	filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			songs = append(songs, source{path, &fileError{path, reason(err), ""}})
		case !d.IsDir() && isSongName(path):
			songs = append(songs, source{path, regular(path)})
		}
		return nil
	})
	if len(songs) == 0 {
		message := "no song in the folder or below it, want files ending in " + unit.Choice(songEndings)
		return []source{{folder, &fileError{folder, message, ""}}}
	}
	slices.SortFunc(songs, func(a, b source) int { return strings.Compare(a.path, b.path) })
	return songs
}

// regular refuses what would have to be waited for, such as a FIFO, of which a
// folder says nothing. Whoever names one is willing to wait.
func regular(path string) error {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return unreadable(path, err)
	case !info.Mode().IsRegular():
		return &fileError{path, "this is not a file but a FIFO, a device or a folder by another name, so it is left out", "name it by itself to read it"}
	}
	return nil
}

var songEndings = []string{".mid", ".midi", ".rmi"}

func isSongName(path string) bool {
	return slices.Contains(songEndings, strings.ToLower(filepath.Ext(path)))
}

// load reads the song from where it should be, as readSong does.
func (a *app) load(ctx context.Context, from source, track int) (*midi.Song, error) {
	if from.err != nil {
		return nil, from.err
	}
	return a.readSong(ctx, from.path, track)
}

// sorted tells the songs that came through from those that failed because of
// their file, which it reports. Any other error it returns.
func sorted[R any](a *app, w *work[R]) (results []R, failed []contract.Failure, err error) {
	for i, err := range w.errs {
		if err == nil {
			results = append(results, w.results[i])
			continue
		}
		failure, ok := a.failure(err)
		if !ok {
			return nil, nil, err
		}
		failed = append(failed, failure)
	}
	return results, failed, nil
}

// failure reports an error that is the fault of a song's file alone.
func (a *app) failure(err error) (f contract.Failure, ok bool) {
	var faulty *fileError
	if !errors.As(err, &faulty) {
		return f, false
	}
	a.report(err)
	return contract.Failure{File: faulty.file, Message: faulty.message}, true
}

// readSong reads a song. Its errors are that of ctx or a *fileError.
func (a *app) readSong(ctx context.Context, path string, track int) (*midi.Song, error) {
	data, err := a.songBytes(ctx, path)
	if err != nil {
		return nil, err
	}
	return readSong(path, data, track)
}

// playable reads a song that came as bytes, by whatever name.
func playable(name string, data []byte) (*midi.Song, error) { return readSong(name, data, 0) }

// readSong reads a song and refuses one that is too large to play. Its errors
// are *fileError.
func readSong(path string, data []byte, track int) (*midi.Song, error) {
	song, err := midi.Read(data, midi.Options{Track: track})
	switch {
	case err == nil && song.NoteOns > maxNotes:
		return nil, &fileError{songName(path), fmt.Sprintf("%d notes, at most %d are played", song.NoteOns, maxNotes), ""}
	case err == nil:
		return song, nil
	case profiles.LooksLikeRig(data):
		return nil, &fileError{songName(path), "this is a rig file, want a MIDI song", "the rig comes first, songs follow"}
	}
	return nil, &fileError{songName(path), err.Error(), ""}
}

// songName is how a song is called in messages.
func songName(path string) string {
	if path == standardInput {
		return "standard input"
	}
	return path
}

func (a *app) songBytes(ctx context.Context, path string) ([]byte, error) {
	data, err := a.read(ctx, path, maxSong)
	if err == nil && len(data) > maxSong {
		return nil, &fileError{songName(path), fmt.Sprintf("more than %d MiB, this is no song", maxSong>>20), ""}
	}
	return data, err
}
