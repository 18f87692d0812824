package figures

import (
	"slices"
	"strings"
	"unicode/utf8"

	"choirloft/profiles/pattern"
)

// A name falls into pieces, words and numbers: MIDI-Ch-11 into MIDI, Ch and 11.
var pieces = pattern.Of(`\p{L}+|\p{N}+`)

// noteName is what reads as the name of a note.
var noteName = pattern.Of(`^(?i:[a-h][b#♭♯]?-?\d*)$`)

// signsOf are short texts that tell parts apart: a piece of the name, or the beginning of one, the
// last piece first, else the name. None is a piece of another name or begins one, nor reads as a note.
func signsOf(names []string) []string {
	signs := make([]string, len(names))
	for i, name := range names {
		others := piecesOf(slices.Concat(names[:i], names[i+1:]))
		signs[i] = name
		for _, sign := range candidates(name) {
			if !noteName().MatchString(sign) && !slices.ContainsFunc(others, func(other string) bool { return begins(other, sign) }) {
				signs[i] = sign
				break
			}
		}
	}
	return signs
}

// candidates are the pieces of a name, the last first: a number whole, of a word its
// beginnings from two letters on.
func candidates(name string) (list []string) {
	all := pieces().FindAllString(name, -1)
	slices.Reverse(all)
	for _, piece := range all {
		if number(piece) {
			list = append(list, piece)
			continue
		}
		for n := min(2, utf8.RuneCountInString(piece)); n <= utf8.RuneCountInString(piece); n++ {
			list = append(list, string([]rune(piece)[:n]))
		}
	}
	return list
}

func piecesOf(names []string) (list []string) {
	for _, name := range names {
		list = append(list, pieces().FindAllString(name, -1)...)
	}
	return list
}

func number(piece string) bool { return strings.Trim(piece, "0123456789") == "" }

// begins tells whether a piece of a name begins with a sign, or is the same number: 05 is 5.
func begins(piece, sign string) bool {
	if number(sign) {
		return number(piece) && strings.TrimLeft(piece, "0") == strings.TrimLeft(sign, "0")
	}
	return strings.HasPrefix(strings.ToLower(piece), strings.ToLower(sign))
}
