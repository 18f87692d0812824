package estimate

import (
	"errors"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

func TestParse(t *testing.T) {
	for text, want := range map[string][]Layer{
		"notes, 3 a second, 0.5 s":                     {{Least: 1, Most: 1, Rate: 3, Length: 500 * ms, at: 1}},
		"chords of 4, 2 a second, 0.8 s":               {{Least: 4, Most: 4, Rate: 2, Length: 800 * ms, at: 1}},
		"chords of 3-5, 90 a minute, 1.5 s, pedal 4 s": {{Least: 3, Most: 5, Rate: 1.5, Length: 1500 * ms, Pedal: 4 * time.Second, perMinute: true, at: 1}},
		" pad =chords of 2 - 64 ,100 a second,1ms,pedal 600 s,even": {{Part: "pad", Least: 2, Most: 64, Rate: 100, Length: ms,
			Pedal: 600 * time.Second, Even: true, at: 2}},
		"notes, 1 a second, 1 s; bass=notes, 2 a second, 250 ms": {{Least: 1, Most: 1, Rate: 1, Length: time.Second, at: 1},
			{Part: "bass", Least: 1, Most: 1, Rate: 2, Length: 250 * ms, at: 25}},
	} {
		p, err := Parse(text)
		require.NoError(t, err, text)
		require.Equal(t, want, p.Layers, text)
	}
}

// What is wrong is said at its place, with what is allowed.
func TestParseErrors(t *testing.T) {
	const decimals = "decimals have a point, as in 0.8"
	for text, want := range map[string]SyntaxError{
		"":                                   {1, "found nothing, " + wantWhat, example},
		"chord of 4, 2 a second, 1 s":        {1, `found "chord of 4", ` + wantWhat, example},
		"chords of 65, 2 a second, 1 s":      {1, `found "chords of 65", ` + wantWhat, example},
		"chords of 0, 2 a second, 1 s":       {1, `found "chords of 0", ` + wantWhat, example},
		"chords of 5-3, 2 a second, 1 s":     {1, `found "chords of 5-3", ` + wantWhat, example},
		"chords of 4":                        {12, "the layer ends, " + wantRate, example},
		"chords of 4, 2 per second, 1 s":     {14, `found "2 per second", ` + wantRate, example},
		"chords of 4, 0 a second, 1 s":       {14, `found "0 a second", ` + wantRate, example},
		"chords of 4, 100.1 a second, 1 s":   {14, `found "100.1 a second", ` + wantRate, example},
		"chords of 4, 6001 a minute, 1 s":    {14, `found "6001 a minute", ` + wantRate, example},
		"chords of 4, 2 a second, 0,8 s":     {26, `found "0", ` + wantLength, decimals},
		"chords of 4, 2 a second, 0.8":       {26, `found "0.8", ` + wantLength, example},
		"chords of 4, 2 a second, 601 s":     {26, `found "601 s", ` + wantLength, example},
		"chords of 4, 2 a second, 0.9 ms":    {26, `found "0.9 ms", ` + wantLength, example},
		"chords of 4, 2 a second":            {24, "the layer ends, " + wantLength, example},
		"notes, 2 a second, 1 s, swing":      {25, `found "swing", ` + wantOption, example},
		"notes, 2 a second, 1 s, even, even": {31, `found "even", ` + wantOption, example},
		"notes, 2 a second, 1 s,":            {24, "found nothing, " + wantOption, example},
		"notes, 2 a second, 1 s +":           {25, "found nothing, " + wantWhat, example},
		"ö, 2 a second, 1 s":                 {1, `found "ö", ` + wantWhat, example},
		"notes, 2 ä second, 1 s":             {8, `found "2 ä second", ` + wantRate, example},
		"ö=notes, 2 a second, ä":             {22, `found "ä", ` + wantLength, example},
		"4=notes, 2 a second, 1 s":           {1, `found "4", ` + wantPart, `write it like "pad=chords of 4, 2 a second, 0.8 s"`},
		strings.Repeat("notes, 1 a second, 1 s+", 16) + "notes, 1 a second, 1 s": {369, "a further layer, at most 16 are played at once", ""},
		strings.Repeat(" ", 5000): {1, "5000 bytes, a description has at most 4096", ""},
	} {
		_, err := Parse(text)
		var got *SyntaxError
		require.True(t, errors.As(err, &got), "%q: %v", text, err)
		require.Equal(t, want, *got, text)
	}
}

// What a rig cannot play is said at the layer.
func TestNewErrors(t *testing.T) {
	r := rig(4, slow, withBass, func(r *study.Rules) {
		r.Config.Parts[1].Keys = alloc.KeyRange{Low: 40, High: 41}
		r.Config.Parts = append(r.Config.Parts, part("mono"))
		r.Config.Parts[2].Mode = alloc.MonoLow
	})
	for text, want := range map[string]SyntaxError{
		"notes, 1 a second, 1 s + lead=notes, 1 a second, 1 s":                       {26, `no part "lead" in the rig, its parts are all, bass, mono`, ""},
		"mono=notes, 1 a second, 1 s":                                                {1, "part mono is mono, so it needs one voice whatever it plays", "leave the layer out, and add a voice"},
		"bass=chords of 2-3, 1 a second, 1 s":                                        {1, "chords of 3, but part bass takes 2 keys", ""},
		"chords of 64, 2 a second, 1.01 s":                                           {1, "with this layer 257 voices sound on average, tails included, at most 256 are estimated", "play less, or shorten releases"},
		"notes, 1 a second, 1 s, pedal 2 s + notes, 1 a second, 1 s":                 {37, "part all has layers with and without a pedal", "give both the same pedal, or aim one of them at another part"},
		"notes, 1 a second, 1 s, pedal 2 s + bass=notes, 1 a second, 1 s, pedal 3 s": {37, "pedal 3 s, but an earlier layer has pedal 2 s: there is one foot", "give both the same time"},
	} {
		p, err := Parse(text)
		require.NoError(t, err)
		_, err = New(r, p)
		var got *SyntaxError
		require.True(t, errors.As(err, &got), "%q: %v", text, err)
		require.Equal(t, want, *got, text)
	}
	p, err := Parse("chords of 64, 2 a second, 1 s")
	require.NoError(t, err)
	_, err = New(r, p)
	require.NoError(t, err, "256 voices")
	for _, mono := range []alloc.Mode{alloc.MonoLast, alloc.MonoHigh} {
		r.Config.Parts = r.Config.Parts[:1]
		r.Config.Parts[0].Mode = mono
		_, err = New(r, p)
		require.EqualError(t, err, "character 1: every part of the rig is mono, so each needs one voice whatever it plays")
	}
}

// A layer that is aimed at no part goes to the first that is poly.
func TestFirstPolyPart(t *testing.T) {
	r := rig(4, withBass, func(r *study.Rules) { r.Config.Parts[0].Mode = alloc.MonoLast })
	require.Equal(t, 1, model(t, r, "notes, 1 a second, 1 s").Lines[0].Part)
}

// FuzzParse: what is accepted is written and read again the same; what is refused
// is refused at a place in the text.
func FuzzParse(f *testing.F) {
	for _, text := range append(ways4Tests, "", "pad=chords of 2-3, 7 a minute, 20 ms, even, pedal 1 s; notes, 0.1 a second, 3 s", "notes, 2 a second, 0,8 s", "ö=ä,") {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := Parse(text)
		if err != nil {
			var wrong *SyntaxError
			require.True(t, errors.As(err, &wrong))
			require.True(t, wrong.At >= 1 && wrong.At <= utf8.RuneCountInString(text)+1, "%d", wrong.At)
			return
		}
		written := p.String()
		again, err := Parse(written)
		require.NoError(t, err, "%q as %q", text, written)
		require.Equal(t, written, again.String())
	})
}
