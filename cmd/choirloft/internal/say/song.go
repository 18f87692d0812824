package say

import (
	"fmt"
	"path/filepath"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// SongLabel is the song's file without its folders, and its title if it has one.
func SongLabel(s *contract.Song) string {
	if s.Title == nil {
		return songBase(s.File)
	}
	return *s.Title + " (" + songBase(s.File) + ")"
}

// songName is the song's title, or its file without folders where it has none.
func songName(s *contract.Song) string {
	if s.Title == nil {
		return songBase(s.File)
	}
	return *s.Title
}

// songBase is a song's file without its folders.
func songBase(file string) string {
	if file == "-" {
		return "standard input"
	}
	return filepath.Base(file)
}

// songNames is what to call each of some songs in a table: the file without its
// folders, or with them where two would have the same name.
func songNames(songs []*contract.Song) []string {
	count := map[string]int{}
	for _, s := range songs {
		count[songBase(s.File)]++
	}
	names := make([]string, len(songs))
	for i, s := range songs {
		names[i] = songBase(s.File)
		if count[names[i]] > 1 {
			names[i] = s.File
		}
		if names[i] = shorten(names[i]); s.CutOff {
			names[i] += " (damaged file)"
		}
	}
	return names
}

// shorten cuts the beginning off a name that is too long for a table.
func shorten(name string) string {
	const most = 36
	if runes := []rune(name); len(runes) > most {
		return "…" + string(runes[len(runes)-most+1:])
	}
	return name
}

// nothingToPlay says why, as so many notes are of no part.
func nothingToPlay(unmapped int) string {
	if unmapped > 0 {
		return fmt.Sprintf("nothing to play, no part plays its %s.", unit.Count(unmapped, "note"))
	}
	return "nothing to play, the song has no notes."
}

// cutOffLine says so where notes may be missing from the song's file.
func cutOffLine(s *contract.Song) string {
	if !s.CutOff {
		return ""
	}
	return "The song's file is damaged or cut off: notes may be missing."
}

// cutOffFiles says so of several songs; empty for none.
func cutOffFiles(n int) string {
	if n == 0 {
		return ""
	}
	return unit.Count(n, "song file") + " damaged or cut off: notes may be missing."
}

// oddLine says in a line how much was wrong with the song's file.
func oddLine(s *contract.Song, rest string) string {
	if s.WarningsTotal == 0 {
		return ""
	}
	return odd(s.WarningsTotal) + " in the file: " + rest + " names them."
}

// odd counts what was wrong.
func odd(n int) string {
	if n == 1 {
		return "1 oddity"
	}
	return strconv.Itoa(n) + " oddities"
}

// oddities tells of what was wrong with the song's file: how much, and the
// first n.
func oddities(s *contract.Song, n int) doc.List {
	if s.WarningsTotal == 0 {
		return doc.List{}
	}
	head := doc.Item{Text: odd(s.WarningsTotal) + " in the file:"}
	if shown := min(n, len(s.Warnings)); shown < s.WarningsTotal {
		head.Text = fmt.Sprintf("%s in the file, the first %d:", odd(s.WarningsTotal), shown)
	}
	for _, w := range s.Warnings[:min(n, len(s.Warnings))] {
		head.Below = append(head.Below, fmt.Sprintf("byte %d: %s", w.Offset, w.Message))
	}
	return doc.List{Items: []doc.Item{head}}
}
