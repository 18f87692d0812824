package routing

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

func TestEveryCodeIsExplainedOnce(t *testing.T) {
	seen := map[Code]bool{}
	for _, c := range Codes() {
		require.False(t, seen[c.Code], "%s stands twice in the table", c.Code)
		require.NotEmpty(t, c.Meaning, c.Code)
		require.NotEmpty(t, c.WayOut, c.Code)
		info, ok := Explain(string(c.Code))
		require.True(t, ok)
		require.Equal(t, c, info)
		require.Regexp(t, `^[a-z]+(-[a-z]+)*$`, string(c.Code))
		seen[c.Code] = true
		require.Contains(t, wordings, c.Code)
	}
	_, ok := Explain("no-such-code")
	require.False(t, ok)
	require.Len(t, wordings, len(seen), "a wording is of a code")
	require.Equal(t, Note, New(NoInterface, "x").Severity)
	require.Panics(t, func() { New("no-such-code", "x") })
	require.Panics(t, func() { New(BankUnused, "x") }, "without its facts")
}

func TestWhatBearsOnNotes(t *testing.T) {
	require.True(t, UnisonThinned.BearsOnNotes())
	require.True(t, LaneDoesNotFit.BearsOnNotes())
	require.False(t, MaySwap.BearsOnNotes())
	require.False(t, NormalBroken.BearsOnNotes())
}

func TestSortPutsTheWorstFirstThenThePlace(t *testing.T) {
	at := func(line int) profiles.Pos { return profiles.Pos{File: "rig.yaml", Line: line, Column: 1} }
	findings := []Finding{
		{Severity: Note, Pos: at(1)},
		{Severity: Error, Pos: at(9)},
		{Severity: Warning, Pos: at(5), Where: "b"},
		{Severity: Warning, Pos: at(5), Where: "a"},
		{Severity: Error, Pos: at(2)},
	}
	Sort(findings)
	require.Equal(t, []Finding{
		{Severity: Error, Pos: at(2)},
		{Severity: Error, Pos: at(9)},
		{Severity: Warning, Pos: at(5), Where: "a"},
		{Severity: Warning, Pos: at(5), Where: "b"},
		{Severity: Note, Pos: at(1)},
	}, findings)
}

func TestWorst(t *testing.T) {
	_, ok := Worst(nil)
	require.False(t, ok)
	worst, ok := Worst([]Finding{{Severity: Note}, {Severity: Warning}})
	require.True(t, ok)
	require.Equal(t, Warning, worst)
}
