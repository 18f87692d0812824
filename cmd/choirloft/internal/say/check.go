package say

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Check says what is wrong with a rig, the worst first, and what songs add.
func Check(v *contract.Check) *doc.Doc {
	c := check{v}
	d := newDoc("Check of "+c.Rig, c.Fingerprint)
	d.Add(doc.Answer{Text: c.summary() + ".", Tone: findingTone(slices.Concat(c.Findings, c.ofSongs()), doc.Good)},
		doc.Sentences(slices.Concat(boughtLines(c.Bought), []string{c.restLine(), assumedLine(c.Findings)})...), findings(c.Findings))
	for i := range c.Songs {
		s := checkSong{&c.Songs[i]}
		d.Under("With a song", doc.Answer{Text: s.summary() + ".", Tone: findingTone(s.Findings, doc.Good)}, doc.Sentences(assumedLine(s.Findings)), findings(s.Findings),
			levelTable(s.Levels), doc.Sentences(levelRest(s.Levels)), doc.Sentences(levelCautions(s.Levels)...), doc.Sentences(linkLines(s.Links)...))
	}
	if c.LevelsGiven && len(c.Songs) == 0 {
		d.Under("Levels", levelTable(c.Levels), doc.Sentences(levelRest(c.Levels)), doc.Sentences(levelCautions(c.Levels)...))
	}
	if !c.LevelsGiven && len(c.Songs) == 0 {
		d.Under("Levels", doc.Sentences(levelTrims(c.Levels.Trims)...))
	}
	d.Under("Supplies and rows", c.supplies(), c.rows(), doc.Sentences(c.powerCautions()...))
	return d
}

// check puts what is wrong with a rig into words.
type check struct{ *contract.Check }

// checkSong puts what a song adds into words.
type checkSong struct{ *contract.CheckSong }

// summary is the answer in a sentence.
func (c check) summary() string {
	wrong := counts(c.Findings)
	if songs := c.ofSongs(); len(songs) > 0 {
		wrong += " in the rig, " + counts(songs) + " with " + map[bool]string{true: "the song", false: "the songs"}[len(c.Songs) == 1]
	}
	return fmt.Sprintf("%s: %s; %s in %s, %s", c.Rig, wrong,
		voiceCount(c.Voices), unit.Count(c.Banks, "bank"), unit.Count(c.Parts, "part"))
}

// ofSongs are the findings that songs add.
func (c check) ofSongs() (all []contract.Finding) {
	for i := range c.Songs {
		all = append(all, c.Songs[i].Findings...)
	}
	return all
}

// restLine names the main values that nobody gave.
func (c check) restLine() string {
	if len(c.Assumed) == 0 {
		return ""
	}
	line := "Rests on " + unit.Count(len(c.Assumed), "assumed value") + ": " + unit.First(c.Assumed, 4) + "."
	if slices.ContainsFunc(c.Assumed, func(what string) bool {
		return strings.HasPrefix(what, "release ") || strings.HasPrefix(what, "drift ")
	}) {
		line += " A take measures releases and, on two days, drift: see choirloft help take."
	}
	return line
}

func (s checkSong) summary() string {
	return fmt.Sprintf("%s: %s; %s", SongLabel(&s.Song), counts(s.Findings), unit.Count(s.Song.Notes, "note"))
}

// assumedLine says how many of the findings rest on a value that nobody measured.
func assumedLine(findings []contract.Finding) string {
	n := 0
	for i := range findings {
		if findings[i].Assumed {
			n++
		}
	}
	switch {
	case n == 0:
		return ""
	case n == 1:
		return fmt.Sprintf("1 of %s rests on an assumed value, and is marked.", unit.Count(len(findings), "finding"))
	}
	return fmt.Sprintf("%d of %s rest on assumed values, and are marked.", n, unit.Count(len(findings), "finding"))
}

// counts says how many findings of each severity there are.
func counts(findings []contract.Finding) string {
	n := map[string]int{}
	for _, f := range findings {
		n[f.Severity]++
	}
	var words []string
	for _, x := range []struct {
		severity string
		what     string // a note would be taken for one of a song
	}{{"error", "error"}, {"warning", "warning"}, {"note", "remark"}} {
		if n[x.severity] > 0 {
			words = append(words, unit.Count(n[x.severity], x.what))
		}
	}
	if n["error"]+n["warning"] == 0 {
		words = append([]string{"nothing wrong"}, words...)
	}
	return strings.Join(words, ", ")
}

// voiceCount says how many voices there are and how many do not serve.
func voiceCount(s contract.Standings) string {
	text := unit.Count(s.All, "voice")
	var words []string
	for _, x := range []struct {
		n     int
		state string
	}{{s.Out, "out"}, {s.Limited, "limited"}, {s.Spare, "spare"}} {
		if x.n > 0 {
			words = append(words, fmt.Sprintf("%d %s", x.n, x.state))
		}
	}
	if len(words) == 0 {
		return text
	}
	return text + " (" + strings.Join(words, ", ") + ")"
}

// Codes says what each code of a finding means, and the fix.
func Codes(c *contract.Codes) *doc.Doc {
	d := newDoc("Findings", "")
	var items []doc.Item
	for _, x := range c.Codes {
		items = append(items, doc.Item{Text: x.Code + " (" + x.Severity + ")", Below: []string{x.Meaning, "fix: " + x.WayOut}})
	}
	d.Add(doc.List{Items: items})
	return d
}
