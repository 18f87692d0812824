package cli

import (
	"context"
	"fmt"
	"math"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/advise"
	"choirloft/routing/whatif"
)

// alone works out all about the only song. What comes after the numbers of voices has its
// share of the budget set aside: last the fixes, of which the more are played the more of it is left.
func (s *size) alone(ctx context.Context, session *whatif.Session, in *contract.SizeInput) (err error) {
	release := session.Budget.Reserve(session.FixesWork() * s.searches())
	told, finish := s.watch("voices")
	in.Sizing, err = session.Size(ctx, study.SizingOptions{Rulesets: s.rulesets, Begin: s.tellPeak, Progress: told})
	if finish(); err != nil {
		return err
	}
	release()
	if err := s.further(ctx, session, in); err != nil {
		return err
	}
	release = session.Budget.Reserve(session.FixesWork())
	if in.Heard, err = session.Listen(ctx, in.Sizing); err != nil {
		return err
	}
	release()
	told, finish = s.watch("fixes")
	defer finish()
	in.Fixes, err = advise.Find(ctx, []*whatif.Session{session}, advise.Options{Work: session.Budget.Left(math.MaxInt64), Pairs: s.pairs, Keep: s.pairs,
		Progress: func(played int) { told(played, played+1) }})
	return err
}

// searches counts the searches that come after the numbers of voices.
func (s *size) searches() study.Work {
	n := study.Work(1)
	for _, asked := range []bool{s.sensitivity, s.drill, s.by != ""} {
		if asked {
			n++
		}
	}
	return n
}

// tellPeak gives who looks the first answer while the rest is worked out.
func (s *size) tellPeak(d study.Demand) {
	if isTerminal(s.stderr) {
		fmt.Fprintln(s.stderr, say.Peak(contract.Enough(d)))
	}
}

// watch returns a progress bar, and what ends it.
func (s *size) watch(what string) (told func(done, all int), finish func()) {
	bar := progress(s.stderr, 2, what)
	return func(done, all int) { bar.ChangeMax(all); bar.Set(done) }, func() { bar.Finish() }
}

// further works out what else was asked for.
func (s *size) further(ctx context.Context, session *whatif.Session, in *contract.SizeInput) (err error) {
	if s.sensitivity {
		if in.Varied, err = session.Vary(ctx); err != nil {
			return err
		}
	}
	if s.drill {
		if in.Drill, err = session.Drill(ctx); err != nil {
			return err
		}
	}
	switch s.by {
	case "part":
		err = s.byPart(ctx, session, in)
	case "bank":
		var racks []whatif.Rack
		if racks, err = s.compared(session); err == nil {
			in.Racks, err = session.Racks(ctx, racks, s.prices)
		}
	}
	return err
}

func (s *size) byPart(ctx context.Context, session *whatif.Session, in *contract.SizeInput) error {
	for i := range s.plan.Rules.Config.Parts {
		one, err := session.SizePart(ctx, i, study.SizingOptions{Rulesets: s.rulesets})
		if err != nil {
			return err
		}
		in.ByPart = append(in.ByPart, one)
	}
	return nil
}

// compared are the racks to compare: those that were asked for, or a bank less
// than the rig has to two banks more, as far as these can play its parts.
func (s *size) compared(session *whatif.Session) ([]whatif.Rack, error) {
	for _, r := range s.asked {
		if err := session.Fits(r); err != nil {
			return nil, &usageError{"--rack " + r.Name + " cannot play this rig: " + err.Error(), "ask for another rack"}
		}
	}
	if len(s.asked) > 0 {
		return s.asked, nil
	}
	var racks []whatif.Rack
	var cannot error
	have, voices := len(s.plan.Unchanged.Banks), s.plan.Unchanged.Banks[0].Size
	for n := max(1, have-1); n <= min(have+2, mostBanks); n++ {
		r := whatif.Rack{Name: rackName(n, voices), Banks: n, Size: voices}
		if err := session.Fits(r); err != nil {
			cannot = err
			continue
		}
		racks = append(racks, r)
	}
	if len(racks) == 0 {
		return nil, &usageError{fmt.Sprintf("no rack of banks of %d voices can play this rig: %v", voices, cannot), "name racks to compare, such as --rack 4x6"}
	}
	return racks, nil
}

// forSet looks for fixes for several songs.
func (s *size) forSet(ctx context.Context, songs []source, all *contract.SizeSongs) error {
	byFile := map[string]source{}
	for _, from := range songs {
		byFile[from.path] = from
	}
	load := func(i int) (*whatif.Session, error) {
		song, err := s.load(ctx, byFile[all.Songs[i].Song.File], s.track)
		if err != nil {
			return nil, err
		}
		return whatif.New(s.plan.Unchanged, s.overrides, song)
	}
	told, finish := s.watch("fixes")
	defer finish()
	advice, err := advise.ForSet(ctx, len(all.Songs), all.WorstFirst, load, advise.Options{Work: study.NewBudget(s.budget).Left(math.MaxInt64),
		Progress: func(played int) { told(played, played+1) }})
	if err == nil {
		all.AddFixes(s.plan, advice)
	}
	return err
}
