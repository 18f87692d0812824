package say

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Live says what happened in a session.
func Live(v *contract.Live) *doc.Doc {
	l := session{v}
	d := newDoc("Live on "+l.Rig, l.Fingerprint)
	tone := doc.Good
	if l.Damaged > 0 || l.Clamped > 0 {
		tone = doc.Bad
	}
	d.Add(doc.Answer{Text: l.summary() + ".", Tone: tone}, doc.Sentences(slices.Concat(l.waits(), l.wrongPitches(), l.takes(), slowLine(l.SlowVoices), l.lines(), l.ends())...))
	return d
}

// session puts a session into words.
type session struct{ *contract.Live }

// summary is the answer in a sentence.
func (l session) summary() string {
	return fmt.Sprintf("%s: %s long, %s in, %s; %s", l.Rig, unit.Clock(l.LastedS), unit.Count(l.Events, "message"), unit.Count(l.Notes, "note"), l.losses())
}

func (l session) losses() string {
	var words []string
	for _, x := range []struct {
		n    int
		what string
	}{{l.Dropped, "dropped"}, {l.LateStart, "began late"}, {l.HeldCut, "stolen while held"}, {l.PedalCut, "stolen while sustained"}} {
		if x.n > 0 {
			words = append(words, fmt.Sprintf("%d %s", x.n, x.what))
		}
	}
	if len(words) == 0 {
		return "none cut short or dropped"
	}
	return unit.Count(l.Damaged, "note") + " cut short or dropped: " + strings.Join(words, ", ")
}

// waits says how many notes began late because they waited for their unison.
func (l session) waits() []string {
	if l.Waited == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s began late, waiting for the voices of a unison: by up to %s, %s together.",
		unit.Count(l.Waited, "note"), unit.Span(l.LongestWaitMS/1000), unit.Span(l.WaitedMS/1000))}
}

// wrongPitches says how many notes a voice could not play where they were asked for.
func (l session) wrongPitches() (lines []string) {
	if l.Clamped > 0 {
		lines = append(lines, fmt.Sprintf("%s at the wrong pitch, by up to %s: a voice could not be driven that far.", unit.Count(l.Clamped, "note"), unit.Cents(l.MissedCents)))
	}
	if l.Folded > 0 {
		lines = append(lines, fmt.Sprintf("%s in another octave, as the part asks for.", unit.Count(l.Folded, "note")))
	}
	return lines
}

// takes says how the takes go together with the notes, where a note takes several
// voices.
func (l session) takes() []string {
	if l.Takes <= l.Notes {
		return nil
	}
	return []string{fmt.Sprintf("%s used %s in all: a unison uses several.", unit.Count(l.Notes, "note"), unit.Count(l.Takes, "voice"))}
}

// slowLine says by how much voices were measured to answer late; none for none.
func slowLine(slow []contract.EarlyVoice) []string {
	if len(slow) == 0 {
		return nil
	}
	latest := slow[0]
	for _, v := range slow {
		if v.LatencyS > latest.LatencyS {
			latest = v
		}
	}
	return []string{fmt.Sprintf("Measured late: %s, by up to %s ms (%s). live cannot start them early; write does.",
		unit.Count(len(slow), "voice"), unit.Tenths(1000*latest.LatencyS), latest.Voice)}
}

// ends says which outputs did not take what was played.
func (l session) ends() (lines []string) {
	for _, o := range l.Outputs {
		if o.LeftOutBytes > 0 {
			lines = append(lines, fmt.Sprintf("Output %d (%s) did not take everything: %s left out.", o.Output, o.Name, unit.Count(o.LeftOutBytes, "byte")))
		}
		if o.UnreadBytes > 0 {
			lines = append(lines, fmt.Sprintf("Output %d (%s) was not read to the end: %s unread.", o.Output, o.Name, unit.Count(o.UnreadBytes, "byte")))
		}
	}
	return lines
}

// lines say the rest.
func (l session) lines() []string {
	var lines []string
	add := func(n int, format string, args ...any) {
		if n > 0 {
			lines = append(lines, fmt.Sprintf(format, args...))
		}
	}
	add(l.TailCuts, "%s cut by another note.", unit.Count(l.TailCuts, "audible tail"))
	add(l.Thinned, "%s thinned: played on fewer voices than the unison asks for.", unit.Count(l.Thinned, "note"))
	add(l.Late, "%s late, by up to %s ms, where a gate must go low first.", unit.Count(l.Late, "note"), unit.Tenths(l.LatestMS))
	add(l.Broken, "Broken bytes in %s. %s let go for that, and for inputs that ended.", unit.Count(l.Broken, "place"), unit.Count(l.LetGo, "channel"))
	add(l.Overruns, "%s lost: an output did not keep up.", unit.Count(l.Overruns, "write"))
	add(l.UnsentBytes, "%s for outputs that were not there.", unit.Count(l.UnsentBytes, "byte"))
	add(l.PastBend, "%s beyond the range of %s: a larger --bend-range covers them, with coarser steps.", unit.Count(l.PastBend, "bend"), unit.Count(l.BendRange, "semitone"))
	add(l.Measured, "From input to output: 99.9 %% within %.0f µs, at most %.0f µs.", 1000*l.LatencyP999MS, 1000*l.LatencyWorstMS)
	if l.Log != nil {
		line := "Log: " + *l.Log + "; replay plays it again."
		if l.LogFull {
			line = "Log: " + *l.Log + ", which is full: the end is missing."
		}
		lines = append(lines, line)
	}
	return lines
}
