package contract

import (
	"time"

	"choirloft/routing/live"
	"choirloft/routing/plan"
)

// Live is what happened in a session.
type Live struct {
	Version     int     `json:"version"`
	Rig         string  `json:"rig"`
	Fingerprint string  `json:"fingerprint"`
	Summary     string  `json:"summary"`
	LastedS     float64 `json:"lasted_s"`
	Events      int     `json:"events"`
	Takes       int     `json:"takes"`
	Damaged     int     `json:"damaged"`
	Dropped     int     `json:"dropped"`
	LateStart   int     `json:"late_start"`
	HeldCut     int     `json:"held_cut"` // overlaps among them: live nobody knows what a note lost
	PedalCut    int     `json:"pedal_cut"`
	TailCuts    int     `json:"tail_cuts"` // audible, by another key
	Thinned     int     `json:"thinned"`
	Late        int     `json:"late"` // where a gate had to go low first, those that waited left out
	LatestMS    float64 `json:"latest_ms"`
	Broken      int     `json:"broken"`   // places where bytes were lost on the way in
	LetGo       int     `json:"let_go"`   // channels that were let go for it
	Overruns    int     `json:"overruns"` // writes that an output did not take
	UnsentBytes int     `json:"unsent_bytes"`
	PastBend    int     `json:"past_bend"` // bends beyond the range
	BendRange   int     `json:"bend_range"`
	// Latency: from the return of a read to the call of the write that it led to.
	Measured       int          `json:"measured"`
	LatencyP999MS  float64      `json:"latency_p999_ms"`
	LatencyWorstMS float64      `json:"latency_worst_ms"`
	Outputs        []LiveOutput `json:"outputs"`
	// Notes of all parts. Takes counts the voices that they took.
	Notes int `json:"notes"`
	// Waited counts the notes that waited for the voices of their unison, however
	// shortly: LongestWaitMS the longest, WaitedMS all of them together. LateStart are
	// those among them that waited for longer than the legato overlap.
	Waited        int     `json:"waited"`
	LongestWaitMS float64 `json:"longest_wait_ms"`
	WaitedMS      float64 `json:"waited_ms"`
	// Clamped counts the notes at the wrong pitch, MissedCents is by how much at most.
	// Folded counts those in another octave, as their part wants it.
	Clamped     int     `json:"clamped"`
	MissedCents float64 `json:"missed_cents"`
	Folded      int     `json:"folded"`
	Log         *string `json:"log"`
	LogFull     bool    `json:"log_full"`
	// SlowVoices were measured to answer late: live nothing can start them early.
	SlowVoices []EarlyVoice `json:"slow_voices"`
}

// LiveOutput is what became of the bytes of one output.
type LiveOutput struct {
	Output       int    `json:"output"` // from 1, as the port
	Name         string `json:"name"`
	LeftOutBytes int    `json:"left_out_bytes"` // that it did not take
	UnsentBytes  int    `json:"unsent_bytes"`   // for it while it was not there
	UnreadBytes  int    `json:"unread_bytes"`   // taken, and not read in the end; 0 where the system does not say
}

// LiveInput is all that is known of a session that has ended.
type LiveInput struct {
	View           live.View
	BendRange      int
	Overruns       int
	Outputs        []LiveOutput
	Measured       int
	Latency, Worst time.Duration
	Log            string
	LogFull        bool
}

// NewLive returns the report of a session.
func NewLive(p *plan.Plan, in LiveInput) *Live {
	c := &in.View.Counts
	ms := func(d time.Duration) float64 { return 1000 * seconds(d) }
	l := &Live{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), LastedS: seconds(in.View.At), Events: c.Events, Takes: c.Takes,
		Damaged: c.Damaged(), Dropped: c.Dropped, LateStart: c.LateStarts, HeldCut: c.Held, PedalCut: c.Pedalled, TailCuts: c.Tails, Thinned: c.Thinned, Late: c.Late,
		LatestMS: ms(c.MostLate), Broken: c.Broken, LetGo: c.LetGo, Overruns: in.Overruns, PastBend: c.PastBend,
		BendRange: in.BendRange, Measured: in.Measured, LatencyP999MS: ms(in.Latency), LatencyWorstMS: ms(in.Worst), Log: optional(in.Log), LogFull: in.LogFull}
	l.Outputs, l.SlowVoices = in.Outputs, earlyVoices(p)
	for _, o := range in.Outputs {
		l.UnsentBytes += o.UnsentBytes
	}
	l.Notes, l.Waited, l.LongestWaitMS, l.WaitedMS = c.Notes, c.Waited, ms(c.LongestWait), ms(c.AllWaits)
	l.Clamped, l.MissedCents, l.Folded = c.Clamped, c.MostMissed, c.Folded
	return l
}
