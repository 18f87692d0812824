package contract

import (
	"cmp"
	"math"
	"slices"

	"choirloft/alloc/study"
	"choirloft/routing/advise"
	"choirloft/routing/plan"
)

// NewSizeSongs returns the report of several songs, and of those that failed,
// both in the order in which they were given.
func NewSizeSongs(p *plan.Plan, results []*SizeResult, failed []Failure) *SizeSongs {
	s := &SizeSongs{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), Songs: results, Failed: failed,
		Findings: newFindings(p.Findings)}
	return s.compared()
}

// compared fills in what follows from the songs together.
func (s *SizeSongs) compared() *SizeSongs {
	if s.Songs == nil {
		s.Songs = []*SizeResult{}
	}
	if s.Failed == nil {
		s.Failed = []Failure{}
	}
	s.Worst = SizeSpread{s.most(heldWant), s.most(pedalWant), s.most(audibleWant)}
	s.Median = Enough{s.median(heldWant), s.median(pedalWant), s.median(audibleWant)}
	s.ByEar, s.ByEarKnown = s.byEar()
	s.MostFirst, s.WorstFirst, s.Advice = s.mostFirst(), s.worstFirst(), []string{}
	return s
}

// byEar is what the songs with notes want by ear, of which that is known, and again if
// it is known of all.
func (s *SizeSongs) byEar() (all *SizeByEar, known *SizeByEarKnown) {
	want := func(r *SizeResult) int { return *r.Demand.None }
	some, of := &SizeSongs{}, 0
	for _, r := range s.Songs {
		if r.Song.Notes == 0 {
			continue
		}
		of++
		if r.Demand.HeardDemand != nil && r.Demand.None != nil {
			some.Songs = append(some.Songs, r)
		}
	}
	n := len(some.Songs)
	if n == 0 {
		return nil, nil
	}
	known = &SizeByEarKnown{SizeByEar{some.median(want), some.most(want)}, n, of}
	if n == of {
		all = &known.SizeByEar
	}
	return all, known
}

func heldWant(r *SizeResult) int    { return r.Enough.Held }
func pedalWant(r *SizeResult) int   { return r.Enough.Pedal }
func audibleWant(r *SizeResult) int { return r.Enough.Audible }

func (s *SizeSongs) most(want func(*SizeResult) int) SizeMost {
	var most SizeMost
	for _, r := range s.Songs {
		if n := want(r); n > most.Voices {
			most = SizeMost{n, r.Song.File}
		}
	}
	return most
}

// median is the smallest number of voices that at least half of the songs with
// notes do with.
func (s *SizeSongs) median(want func(*SizeResult) int) int {
	var wants []int
	for _, r := range s.Songs {
		if r.Song.Notes > 0 {
			wants = append(wants, want(r))
		}
	}
	if len(wants) == 0 {
		return 0
	}
	slices.Sort(wants)
	return wants[(len(wants)-1)/2]
}

// mostFirst orders the songs by what they want.
func (s *SizeSongs) mostFirst() []int {
	order := make([]int, len(s.Songs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := s.Songs[i], s.Songs[j]
		return cmp.Or(cmp.Compare(pedalWant(b), pedalWant(a)), cmp.Compare(audibleWant(b), audibleWant(a)))
	})
	return order
}

// worstFirst orders the songs by what they lose, as those of a replay: by the notes that
// are dropped or played by no part, then by what is heard, in dB·s, then by counts.
func (s *SizeSongs) worstFirst() []int {
	order := s.mostFirst()
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := s.Songs[i], s.Songs[j]
		return cmp.Or(cmp.Compare(b.Now.Dropped+b.Unmapped, a.Now.Dropped+a.Unmapped), cmp.Compare(b.dbs(), a.dbs()),
			cmp.Compare(b.Now.Damaged, a.Now.Damaged), cmp.Compare(b.WrongNotes(), a.WrongNotes()), cmp.Compare(b.Now.TailCuts, a.Now.TailCuts))
	})
	return order
}

// dbs is what is heard of the losses, in dB·s; of a song that was too long to listen to it
// may be anything.
func (s *SizeResult) dbs() float64 {
	switch {
	case s.Hearing == nil:
		return 0
	case s.NowHeard == nil:
		return math.Inf(1)
	}
	return s.NowHeard.DBS
}

// WrongNotes counts the notes of all parts that play at the wrong pitch.
func (s *SizeResult) WrongNotes() (n int) {
	for i := range s.WrongPitch {
		n += s.WrongPitch[i].Notes
	}
	return n
}

// AddFixes adds what would help the songs that could be read.
func (s *SizeSongs) AddFixes(p *plan.Plan, a *advise.Advice) {
	s.Set = &SetFixes{Now: s.left(&a.Now, a.Songs), Fixes: []SetFix{}, Settings: settings(a)}
	b := &sizer{in: SizeInput{Now: &study.Replay{}}, rig: p.Rig}
	b.in.Now.Rig.Voices = s.Songs[0].Voices
	for i := range a.Fixes {
		f := &a.Fixes[i]
		x := SetFix{Number: i + 1, Flags: f.Overrides.Flags(), Asks: effortNames[f.Effort], Costs: fixCosts(f), After: s.left(&f.Figures, f.Songs)}
		for _, o := range f.Changes {
			x.Changes = append(x.Changes, b.changes(f, o)...)
		}
		if f.Purchase != nil {
			x.Purchase = newPurchase(f.Purchase, b.in.Prices)
		}
		x.Harms, x.KeepBanks, x.Shared = b.harms(f), b.keepBanks(x.Changes), b.shared(f)
		s.Set.Fixes = append(s.Set.Fixes, x)
	}
}

// left is what is left of songs, in all and of the worst.
func (s *SizeSongs) left(sum *advise.Figures, songs []advise.Figures) SetLeft {
	at := advise.Worst(songs)
	return SetLeft{*changed(sum), *changed(&songs[at]), s.Songs[at].Song.File}
}
