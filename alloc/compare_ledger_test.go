package alloc_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
	"choirloft/alloc/study"
	"choirloft/midi/corpora"
)

// Which voice plays which note when is the same in the slow reference, note by
// note, and needs no reading of decisions to be checked: no voice has two notes
// at once, and how a note ended follows from its spans and what it asked for.
func TestLedgerLikeTheSlowReference(t *testing.T) {
	for name, change := range map[string]func(*rapid.T, *alloc.Config, *alloc.Part){
		"plain": func(*rapid.T, *alloc.Config, *alloc.Part) {}, "mono": drawMono, "unison": drawUnison,
		"all features": func(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
			p.Reserve, p.Limit = 0, 0
			drawFeatures(t, cfg, p)
		},
		"elastic": func(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
			drawUnison(t, cfg, p)
			p.Unison.WhenShort = alloc.Elastic
		},
	} {
		t.Run(name, func(t *testing.T) {
			var met ledgerTally
			rapid.Check(t, func(t *rapid.T) {
				for i := range corpora.Some(2, 6) {
					cfg, song := drawConfig, func(cfg alloc.Config) performance { return drawFeaturePerformance(t, cfg) }
					if i%2 == 1 { // voices are short all the time
						cfg, song = drawFewVoices, func(alloc.Config) performance { return drawDensePerformance(t) }
					}
					r := study.Rules{Config: cfg(t), LimitDB: -40, Overlap: 80 * time.Millisecond}
					for i := range r.Config.Parts {
						change(t, &r.Config, &r.Config.Parts[i])
					}
					met.compare(t, r, song(r.Config))
				}
			})
			t.Logf("met: %+v", met)
			require.LessOrEqual(t, met.doubtful, met.songs*3/100)
			require.Greater(t, met.notes, 5*met.songs)
			require.Greater(t, met.cut, met.songs/4)
			require.Greater(t, met.sustained, met.songs/4)
			if name == "elastic" {
				require.Greater(t, met.moved, met.songs/8)
			}
		})
	}
}

// ledgerTally is what was compared.
type ledgerTally struct {
	songs, doubtful       int
	notes, cut, sustained int
	moved                 int // notes that got a voice after their start
}

func (y *ledgerTally) compare(t *rapid.T, r study.Rules, p performance) {
	given := study.Performance{Steps: p.steps, End: p.end}
	ref := study.NewReference(r, given)
	want, doubt := slow.Spans(r.Config, p.steps, p.end, ref.Future(r.Config))
	y.songs++
	if doubt {
		y.doubtful++
		return
	}
	replay, got, err := study.PlayLanes(r, given, ref)
	require.NoError(t, err)
	byNote := make([][]study.Span, len(ref.Notes))
	slices.SortStableFunc(want, func(a, b slow.Span) int { return a.Voice - b.Voice })
	require.Len(t, got, len(want), "%v", input{r.Config, p})
	for i, s := range got {
		w := want[i]
		require.Equal(t, w, slow.Span{Voice: s.Voice, Note: s.Note, From: s.Start, Low: s.Low, To: nearly(s.Silent, w.To)}, "%v", input{r.Config, p})
		require.True(t, i == 0 || got[i-1].Voice != s.Voice || got[i-1].Silent <= s.Start, "two notes at once on voice %d", s.Voice)
		require.True(t, r.Config.Voices[s.Voice].State.InService())
		byNote[s.Note] = append(byNote[s.Note], s)
	}
	for i, spans := range byNote {
		requireEnding(t, &r, &ref.Notes[i], replay.Outcomes[i], spans)
		y.count(&ref.Notes[i], replay.Outcomes[i], spans)
	}
}

// nearly is want if got is within two nanoseconds of it: the length of a tail is
// computed in another order.
func nearly(got, want time.Duration) time.Duration {
	if max(got-want, want-got) <= 2 {
		return want
	}
	return got
}

// requireEnding holds the ending of a note to what its spans show.
func requireEnding(t *rapid.T, r *study.Rules, n *study.Note, o study.Outcome, spans []study.Span) {
	if len(spans) == 0 {
		again := n.Superseded && n.End == n.Start // struck again at the same instant
		require.True(t, o.Ending == study.Dropped || again && o.Ending == study.Superseded, "%v without a voice", o.Ending)
		return
	}
	began, gate := spans[0].Start, spans[0].Low
	for _, s := range spans {
		began, gate = min(began, s.Start), max(gate, s.Low)
	}
	require.NotEqual(t, study.Dropped, o.Ending)
	require.LessOrEqual(t, gate, n.End)
	require.Equal(t, n.Start+o.Waited, began)
	cut := n.End - gate
	switch {
	case cut > 0:
		require.True(t, o.Ending >= study.LateStart && o.Ending <= study.PedalCut, "%v though cut", o.Ending)
	case began-n.Start > r.Overlap:
		require.Equal(t, study.LateStart, o.Ending)
	default:
		require.False(t, o.Ending.Damaged(), "%v though whole", o.Ending)
	}
	if o.Ending.Damaged() {
		require.Equal(t, cut+began-n.Start, o.Lost)
	}
}

func (y *ledgerTally) count(n *study.Note, o study.Outcome, spans []study.Span) {
	y.notes++
	if o.Ending.Damaged() && len(spans) > 0 {
		y.cut++
	}
	if n.End > n.KeyUp {
		y.sustained++
	}
	for i, s := range spans {
		if slices.ContainsFunc(spans[:i], func(was study.Span) bool { return was.Start != s.Start }) {
			y.moved++
			return
		}
	}
}
