package profiles

import (
	"bytes"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// WithCorrections returns a rig file's data with these corrections written in:
// those of a voice in place of what the file says of it, the others beside what
// is there. Nothing else changes: every other byte stays, comments, order,
// spaces and line ends among them.
//
// The result has been read again, and says what it should and else what it said
// before. Where the file is laid out so that this would cost a comment, or in a
// way that the edit does not know, the error says what to write by hand.
func WithCorrections(name string, data []byte, corrections []Correction, files fs.FS) ([]byte, error) {
	rig, faults := Read(name, data, files)
	if len(faults) > 0 {
		return nil, faults
	}
	mark := data[:len(data)-len(bytes.TrimPrefix(data, []byte("\uFEFF")))]
	e, err := newEditor(data[len(mark):])
	if err != nil {
		return nil, err
	}
	if err := e.corrections(rig, corrections); err != nil {
		return nil, err
	}
	edited, err := e.apply()
	if err != nil {
		return nil, err
	}
	edited = append(slices.Clone(mark), edited...)
	return edited, checkEdited(name, data, edited, rig, corrections, files)
}

// WithCorrections is the file with corrections written in, not yet on the disk.
// See [WithCorrections].
func (f *File) WithCorrections(corrections []Correction) (*File, error) {
	after := &File{Path: f.Path}
	err := f.Beside(func(files fs.FS) error {
		data, err := WithCorrections(f.Path, f.Data, corrections, files)
		if err != nil {
			return err
		}
		rig, faults := Read(f.Path, data, files)
		if len(faults) > 0 { // cannot be: it has been read
			return faults
		}
		after.Data, after.Rig = data, rig
		return nil
	})
	if err != nil {
		return nil, err
	}
	return after, nil
}

// editError says what to do by hand.
func editError(rig *Rig, c *Correction, why string) error {
	return fmt.Errorf("%s; write this by hand: corrections: {%s: %s}", why, rig.Voices[c.Voice].Name, c.Text())
}

// corrections gathers the edits for all corrections.
func (e *editor) corrections(rig *Rig, all []Correction) error {
	_, there := lookup(e.root, "corrections")
	var fresh []string
	for i := range all {
		c := &all[i]
		voice := rig.Voices[c.Voice].Name
		var own *yaml.Node
		if there != nil {
			_, own = lookup(there, voice)
		}
		if own == nil {
			fresh = append(fresh, voice+": "+c.Text())
			continue
		}
		if err := e.entry(own, c); err != nil {
			return editError(rig, c, err.Error())
		}
	}
	switch {
	case len(fresh) == 0:
		return nil
	case there != nil:
		return e.add(there, fresh, true)
	case e.isFlow(e.root):
		return e.add(e.root, []string{"corrections: {" + strings.Join(fresh, ", ") + "}"}, true)
	}
	e.atEnd("corrections:", fresh)
	return nil
}

// entry edits what is there of one voice, key by key.
func (e *editor) entry(own *yaml.Node, c *Correction) error {
	var fresh []string
	for _, w := range correctionTexts(c, true) {
		key, value := lookup(own, w.key)
		var err error
		switch {
		case value == nil && w.text != "":
			fresh = append(fresh, w.key+": "+w.text)
		case value == nil:
		case w.text == "":
			err = e.remove(own, key)
		default:
			err = e.replace(value, w.text)
		}
		if err != nil {
			return err
		}
	}
	if len(fresh) == 0 {
		return nil
	}
	return e.add(own, fresh, false)
}

// mapEntry is an entry of a map as it is written; its text is empty for none.
type mapEntry struct{ key, text string }

// correctionTexts are the entries of a correction. All names the defaults too,
// which then stand where a file had other values.
func correctionTexts(c *Correction, all bool) []mapEntry {
	texts := []mapEntry{
		{"offset", millivolts(c.Offset)}, {"scale", decimalText(c.Scale, 5)}, {"measured", c.Measured},
		{"residual", centsText(c.Residual)}, {"readings", readingsText(c.Readings)}, {"drift", centsText(c.Drift)}, {"common_drift", centsText(c.CommonDrift)},
		{"days", countText(c.Days, c.Drift != nil && c.Days > 2)},
		{"inputs", countText(c.Inputs, c.Inputs > 0)}, {"multiples", multiplesText(c.Multiples)}, {"points", pointsText(c.Points)},
	}
	if !all {
		texts = slices.DeleteFunc(texts, func(w mapEntry) bool { return w.text == "" })
	}
	return texts
}

// Text is a correction as a rig file has it behind the name of its voice, on one
// line.
func (c *Correction) Text() string {
	var parts []string
	for _, w := range correctionTexts(c, false) {
		parts = append(parts, w.key+": "+w.text)
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// decimalText rounds to so many decimals and writes as few as it takes.
func decimalText(v float64, decimals int) string {
	parts := math.Pow10(decimals)
	v = math.Round(v*parts) / parts
	if v == 0 {
		v = 0 // not the negative zero
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func millivolts(v Volts) string { return decimalText(float64(v)*1000, 2) + " mV" }

func centsText(c *Cents) string {
	if c == nil {
		return ""
	}
	return decimalText(float64(*c), 2) + " cents"
}

func readingsText(at []Volts) string {
	if len(at) == 0 {
		return ""
	}
	texts := make([]string, len(at))
	for i, v := range at {
		texts[i] = decimalText(float64(v), 5) + " V"
	}
	return "[" + strings.Join(texts, ", ") + "]"
}

// countText is a number that is said.
func countText(n int, said bool) string {
	if !said {
		return ""
	}
	return strconv.Itoa(n)
}

func multiplesText(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

func pointsText(points []CorrectionPoint) string {
	if len(points) == 0 {
		return ""
	}
	texts := make([]string, len(points))
	for i, p := range points {
		texts[i] = decimalText(float64(p.At), 5) + " V: " + millivolts(p.Add)
	}
	return "{" + strings.Join(texts, ", ") + "}"
}

// checkEdited reads the result again and compares.
func checkEdited(name string, before, after []byte, was *Rig, wanted []Correction, files fs.FS) error {
	rig, faults := Read(name, after, files)
	if len(faults) > 0 {
		return editError(was, &wanted[0], "the file is laid out in a way that cannot be edited")
	}
	want := slices.Clone(was.Corrections)
	for _, c := range wanted {
		want = slices.DeleteFunc(want, func(old Correction) bool { return old.Voice == c.Voice })
		want = append(want, c)
	}
	byVoice := func(all []Correction) []Correction {
		all = slices.Clone(all)
		sort.Slice(all, func(i, j int) bool { return all[i].Voice < all[j].Voice })
		return all
	}
	got, want := byVoice(rig.Corrections), byVoice(want)
	same := len(got) == len(want) && sameBut(before, after, "corrections")
	for i := range want {
		same = same && got[i].Voice == want[i].Voice && got[i].Text() == want[i].Text()
	}
	if !same {
		return editError(was, &wanted[0], "the file is laid out in a way that cannot be edited")
	}
	return nil
}

// sameBut tells whether two files say the same but under one key at the top.
func sameBut(a, b []byte, key string) bool {
	var tops [2]*yaml.Node
	for i, data := range [][]byte{a, b} {
		documents, err := split(data)
		if err != nil || len(documents) != 1 {
			return false
		}
		tops[i] = without(documents[0], key)
	}
	return sameNode(tops[0], tops[1])
}

// without is a map without one key.
func without(n *yaml.Node, key string) *yaml.Node {
	kept := *n
	kept.Content = nil
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value != key {
			kept.Content = append(kept.Content, n.Content[i], n.Content[i+1])
		}
	}
	return &kept
}

func sameNode(a, b *yaml.Node) bool {
	return a.Kind == b.Kind && a.Value == b.Value && a.Tag == b.Tag && a.Style == b.Style &&
		slices.EqualFunc(a.Content, b.Content, sameNode)
}
