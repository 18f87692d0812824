package contract

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"choirloft/routing/plan"
)

// FailedLine stands for a song among lines that could not be used.
type FailedLine struct {
	Version     int       `json:"version"`
	Rig         string    `json:"rig"`
	Fingerprint string    `json:"fingerprint"`
	Failed      Failure   `json:"failed"`
	Findings    []Finding `json:"findings"`
}

// NewFailedLine returns the line of a song that could not be used.
func NewFailedLine(p *plan.Plan, f Failure) *FailedLine {
	return &FailedLine{Version, p.Rig.Name, p.Code(), f, newFindings(p.Findings)}
}

// Line returns a report as JSON on one line.
func Line(value any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(value)
	return b.Bytes(), err
}

// SizeLine is a line of one song among several: its size, or why it failed.
type SizeLine struct {
	Size
	Failed *Failure `json:"failed"`
}

// ReadSizeLine reads a line that [Line] made of a [Size] or a [FailedLine].
func ReadSizeLine(data []byte) (*SizeLine, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	var l SizeLine
	if err := d.Decode(&l); err != nil {
		return nil, errors.New(strings.TrimPrefix(err.Error(), "json: "))
	}
	switch _, err := d.Token(); {
	case err != io.EOF:
		return nil, errors.New("more than one value on the line")
	case l.Version != Version:
		return nil, fmt.Errorf("version %d, this program reads version %d", l.Version, Version)
	case l.Failed == nil && l.Song.File == "":
		return nil, errors.New("no song")
	}
	return &l, nil
}

// Brief leaves out what the table of several songs does not show, so that many
// songs fit into memory.
func (s *SizeResult) Brief() {
	s.Curve, s.FromRules, s.ShownRules, s.Short, s.ShortBars, s.Advice = nil, nil, nil, nil, nil, nil
}

// JoinSizes returns the report of the songs of some lines, one at least, which
// are of one plan, in the order of their names.
func JoinSizes(lines []*SizeLine) *SizeSongs {
	lines = slices.Clone(lines)
	slices.SortStableFunc(lines, func(a, b *SizeLine) int { return cmp.Compare(a.name(), b.name()) })
	first := lines[0]
	s := &SizeSongs{Version: Version, Rig: first.Rig, Fingerprint: first.Fingerprint, Findings: first.Findings}
	for _, l := range lines {
		if l.Failed != nil {
			s.Failed = append(s.Failed, *l.Failed)
		} else {
			s.Songs = append(s.Songs, &l.SizeResult)
		}
	}
	return s.compared()
}

// name is that of the song's file.
func (l *SizeLine) name() string {
	if l.Failed != nil {
		return l.Failed.File
	}
	return l.Song.File
}
