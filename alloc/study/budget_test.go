package study

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
)

func TestBudget(t *testing.T) {
	b := NewBudget(2 * time.Second)
	require.False(t, b.Spend(2*WorkASecond+1), "more than there is, and nothing is taken")
	require.True(t, b.Spend(WorkASecond))
	release := b.Reserve(WorkASecond)
	require.False(t, b.Spend(WorkASecond/2+1), "half is set aside at most")
	require.Equal(t, 2, b.Prefix(9, func(int) Work { return WorkASecond / 4 }))
	release()
	require.True(t, b.Spend(WorkASecond/2))
	b.Force(5)
	require.False(t, b.Spend(1))
	some := &Budget{7}
	some.Force(5)
	require.Equal(t, Work(2), some.Left(9))
	some.Force(5)
	require.Zero(t, some.Left(9))
	other := some.Another()
	other.Force(5)
	some.left = 3
	require.Equal(t, []Work{0, 3}, []Work{other.left, some.left}, "each has its own")
	require.Nil(t, (*Budget)(nil).Another())
	var none *Budget
	require.True(t, none.Spend(1<<62))
	none.Reserve(1)()
	require.True(t, NewBudget(1<<62).Spend(WorkASecond))
	require.Equal(t, Work(16*300), FirstWork(stuckSong(300)))
}

// stuckSong is one in which so many keys go down, one by one, and stay.
func stuckSong(keys int) Performance {
	p := Performance{End: time.Duration(keys+1) * time.Second}
	for i := range keys {
		p.Steps = append(p.Steps, midi.Step{At: time.Duration(i) * time.Second, Kind: midi.StepNoteOn,
			Port: midi.Port(i / 2048), Channel: midi.Channel(i / 128 % 16), Key: midi.Key(i % 128), Value: 64})
	}
	return p
}

// sizedWithin sizes and counts the work of what was played.
func sizedWithin(t *testing.T, r Rules, p Performance, b *Budget) (*Sizing, Work) {
	t.Helper()
	var work atomic.Int64
	rules := []Ruleset{{Pick: alloc.PickLowest, Steal: alloc.StealOldest}}
	s, err := Size(context.Background(), r, p, SizingOptions{Rulesets: rules, Voices: 3, Budget: b,
		Watch: func(voices, _ int, _ *Reference, _ []Outcome) { work.Add(int64(RunWork(p, voices))) }})
	require.NoError(t, err)
	return s, Work(work.Load())
}

// 300 keys that stay want 300 voices, so 302 numbers of them are played: by two
// ways each 2·Σ(300+v), v from 1 to 302, are 272 706 units of work. A budget of
// half as much leaves numbers out, spends no more, and finds where harm begins.
func TestSizeWithinABudget(t *testing.T) {
	r, _ := crowdedSong(1, 8)
	r.Config.Parts = r.Config.Parts[:1]
	p := stuckSong(300)
	whole, work := sizedWithin(t, r, p, nil)
	require.Equal(t, Work(2*(302*300+302*303/2)), work)
	require.Len(t, whole.Points, 302)
	enough, _ := sizedWithin(t, r, p, NewBudget(time.Second))
	require.Equal(t, whole.Points, enough.Points, "a budget that suffices changes nothing")

	half := time.Second * time.Duration(work/2) / WorkASecond
	some, spent := sizedWithin(t, r, p, NewBudget(half))
	told, last, mu := map[[2]int]bool{}, 0, sync.Mutex{}
	_, err := Size(context.Background(), r, p, SizingOptions{Voices: 3, Budget: NewBudget(half / 4), Progress: func(done, all int) {
		mu.Lock()
		defer mu.Unlock()
		require.LessOrEqual(t, done, all)
		require.NotContains(t, told, [2]int{done, all})
		told[[2]int{done, all}] = true
		last = max(last, done)
	}})
	require.NoError(t, err)
	require.Len(t, told, last, "each run is told once, and they go on from number to number")
	require.LessOrEqual(t, spent, work/2)
	require.Greater(t, spent, work/4, "what is not left to plans is spent")
	require.Less(t, len(some.Points), 302)
	require.Equal(t, whole.Harmless(), some.Harmless())
	require.Equal(t, 302, some.Last)
	for _, at := range some.Points {
		require.Equal(t, whole.Points[at.Voices-1], at)
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	alone, _ := sizedWithin(t, r, p, NewBudget(half))
	require.Equal(t, some.Points, alone.Points, "on one processor as on several")

	least, _ := sizedWithin(t, r, p, NewBudget(1))
	require.Len(t, least.Points, surveyed)
	require.Equal(t, []int{3, 302}, []int{least.Points[0].Voices, least.Points[1].Voices}, "that of the rig, and the last")
	// 300 keys that stay need 300 voices: the first on which no note must be lost
	// is what a budget for one number more is spent on.
	next := least
	for b := Work(1); len(next.Points) < surveyed+1; b *= 2 {
		next, _ = sizedWithin(t, r, p, &Budget{b})
	}
	require.Equal(t, 300, next.Points[1].Voices)
	lost, ok := least.LeastWeight(100)
	require.False(t, ok, "no plan was paid for")
	require.Zero(t, lost)
	lost, ok = least.LeastWeight(300)
	require.True(t, ok)
	require.Zero(t, lost, "at the peak nothing is lost, plan or not")
}

// Where a song wants more than the most voices and the rig has as many, nothing
// but the last number tells anything: a budget of nothing plays that and one more,
// and not all the rest.
func TestSizeOfALargeRigWithinABudget(t *testing.T) {
	r, _ := crowdedSong(1, 8)
	r.Config.Parts = r.Config.Parts[:1]
	p := stuckSong(alloc.MaxVoices + 100)
	s, err := Size(context.Background(), r, p, SizingOptions{Voices: alloc.MaxVoices, Budget: NewBudget(1)})
	require.NoError(t, err)
	require.Equal(t, alloc.MaxVoices, s.Demand.Held-100)
	require.Len(t, s.Points, surveyed)
	require.Equal(t, alloc.MaxVoices, s.Points[1].Voices)
}

// One note after another wants one voice: that is found below the voices of the rig
// and the end of the curve, where nothing less was played. 40 numbers of voices by
// two ways are 2·Σ(200+v) = 2·(8000 + 820) = 17 640 units of work; half is too little
// for all of them.
func TestSizeOfOneVoiceWithinABudget(t *testing.T) {
	r, _ := crowdedSong(1, 8)
	r.Config.Parts = r.Config.Parts[:1]
	p := Performance{End: 200 * time.Second}
	for i := range 100 {
		at := time.Duration(2*i) * time.Second
		p.Steps = append(p.Steps, midi.Step{At: at, Kind: midi.StepNoteOn, Key: 60, Value: 64},
			midi.Step{At: at + time.Second, Kind: midi.StepNoteOff, Key: 60})
	}
	rules := []Ruleset{{Pick: alloc.PickLowest, Steal: alloc.StealOldest}}
	s, err := Size(context.Background(), r, p, SizingOptions{Rulesets: rules, Voices: 40, Budget: &Budget{17_640 / 2}})
	require.NoError(t, err)
	require.Greater(t, len(s.Points), 10)
	require.Less(t, len(s.Points), 40)
	harmless, ok := s.From(undamaged)
	require.True(t, ok)
	require.Equal(t, 1, harmless)
}

// Half-way between the fewest voices from which on all pass and the number below that was
// played, or none: of 3, 4 and 20 voices, (20 + 4)/2 = 12 and (3 + 0)/2 = 1.
func TestBetween(t *testing.T) {
	for _, c := range []struct {
		played     []int
		from, want int // 0 where nothing lies between, or none pass
	}{{[]int{3, 4, 20}, 1, 1}, {[]int{3, 4, 20}, 20, 12}, {[]int{3, 4, 20}, 4, 0}, {[]int{3, 4, 20}, 21, 0},
		{[]int{1, 3}, 3, 2}, {[]int{1, 3}, 1, 0}, {[]int{2}, 2, 1}, {[]int{2}, 3, 0}} {
		v := &survey{Sizing: &Sizing{}}
		for _, n := range c.played {
			v.Points = append(v.Points, SizePoint{Voices: n})
		}
		n, ok := v.between(func(at *SizePoint) bool { return at.Voices >= c.from })
		require.Equal(t, c.want > 0, ok, c)
		if ok {
			require.Equal(t, c.want, n, c)
		}
	}
}

// A song without notes wants no voice: one and two are played, whatever the budget, and
// nothing is left to play.
func TestSizeOfNothingWithinABudget(t *testing.T) {
	r, _ := crowdedSong(1, 1)
	s, err := Size(context.Background(), r, Performance{End: time.Second}, SizingOptions{Voices: 1, Budget: NewBudget(1)})
	require.NoError(t, err)
	require.Len(t, s.Points, 2)
}

// What is left of a budget plays every 2ⁿth number, from the largest power of two
// that there is a number for.
func TestLargestPower(t *testing.T) {
	for i, want := range []int{1, 2, 2, 4, 4, 4, 4, 8} {
		require.Equal(t, want, largestPower(i+1), i+1)
	}
}

// Of notes that all stay, and more of them than there can be voices, each is
// compared with no more voices than that: v voices damage n−v of them.
func TestBoundsEndAtTheMostVoices(t *testing.T) {
	list := make([]Interval, alloc.MaxVoices+50)
	for i := range list {
		list[i] = Interval{time.Duration(i), time.Hour}
	}
	curve := Bounds(list)
	require.Len(t, curve, alloc.MaxVoices+1)
	for _, v := range []int{0, 1, alloc.MaxVoices} {
		require.Equal(t, len(list)-v, curve.At(v).FewestDamaged)
		require.Equal(t, Unavoidable(list, v), curve.At(v).Unavoidable)
	}
}

// What is left of a budget, and of one without end as much as is wanted.
func TestLeft(t *testing.T) {
	require.Equal(t, Work(7), (*Budget)(nil).Left(7))
	b := NewBudget(time.Second)
	require.True(t, b.Spend(500_000))
	require.Equal(t, []Work{7, WorkASecond - 500_000}, []Work{b.Left(7), b.Left(WorkASecond)})
}

// By hand: of four notes with two voices, 4·2/2. A plan for two voices is paid for; what is not enough for that
// plans for a quarter of what is left, which is then spent.
func TestPlansWithinABudget(t *testing.T) {
	ref := &Reference{Notes: make([]Note, 4)}
	require.Equal(t, []Work{2, 4}, []Work{ref.PlanWork(1), ref.PlanWork(2)})
	for left, want := range map[Work][2]Work{100: {4, 92}, 8: {4, 0}, 7: {0, 7}, 40: {4, 32}} {
		s, b := &Sizing{Reference: ref, Last: 6, Demand: Demand{Pedal: 4}}, &Budget{left}
		s.plan(b)
		require.Equal(t, want, [2]Work{Work(s.planned), b.left}, left)
	}
	few := &Sizing{Reference: &Reference{Notes: make([]Note, 1)}, Last: 8, Demand: Demand{Pedal: 8}} // of eight voices
	few.plan(&Budget{3})
	require.Zero(t, few.planned)
	ref.Notes = make([]Note, 200) // 100 a voice
	s, b := &Sizing{Reference: ref, Last: 20, Demand: Demand{Pedal: 20}}, &Budget{900}
	s.plan(b)
	require.Equal(t, [2]Work{2, 700}, [2]Work{Work(s.planned), b.left}, "900/4/100 of 20")
}

// One voice is too few where the second note overlaps, none where nothing does.
func TestTooFew(t *testing.T) {
	require.Equal(t, 1, (&Sizing{Last: 3, Bounds: Curve{{FewestDamaged: 2}, {FewestDamaged: 1}}}).TooFew())
	require.Zero(t, (&Sizing{Last: 3, Bounds: Curve{{FewestDamaged: 2}}}).TooFew())
}
