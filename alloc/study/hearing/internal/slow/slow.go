// Package slow says what is heard of a song in the most obvious way: every note at
// every other millisecond, one exponential for each harmonic and band. It shares no code
// with package hearing, which is tested against it.
package slow

import (
	"math"
	"slices"
	"sort"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// Voice is what every voice sounds like.
type Voice struct {
	Odd     bool    // but odd harmonics
	Falls   float64 // the amplitude of harmonic h is h to the power of −Falls
	Cutoff  float64 // Hz
	Track   float64
	LevelDB float64 // of key 60
}

// tick is how finely time is cut, in seconds, beside all edges.
const tick = 0.002

// Song is a song that was played.
type Song struct {
	Voice    Voice
	Rules    study.Rules
	Replay   *study.Replay
	Velocity bool
	// Asked is what it is heard beside, if not the reference of the replay, and Own
	// which note of the replay each of its notes is; −1 where it was left out.
	Asked   *study.Reference
	Own     []int
	spectra map[int][]float64
	centres []float64
	noise   []float64
}

// Heard is what is heard of something.
type Heard struct {
	Worst, Loud  float64 // dB, dB·s above 1 dB
	Faint, Plain float64 // seconds at 0.95 and 2.95 dB or more
}

var quietTones = [][2]float64{ // ISO 226:2003, from memory
	{20, 78.5}, {25, 68.7}, {31.5, 59.5}, {40, 51.1}, {50, 44.0}, {63, 37.5}, {80, 31.5}, {100, 26.5},
	{125, 22.1}, {160, 17.9}, {200, 14.4}, {250, 11.4}, {315, 8.6}, {400, 6.2}, {500, 4.4}, {630, 3.0},
	{800, 2.2}, {1000, 2.4}, {1250, 3.5}, {1600, 1.7}, {2000, -1.3}, {2500, -4.2}, {3150, -6.0},
	{4000, -5.4}, {5000, -1.5}, {6300, 6.0}, {8000, 12.6}, {10000, 13.9}, {12500, 12.3}, {20000, 12.3},
}

func bandwidth(f float64) float64 { return 24.7 * (4.37*f/1000 + 1) }

// Prepare makes a song ready.
func (s *Song) Prepare() {
	s.spectra = map[int][]float64{}
	if s.Asked == nil {
		s.Asked = s.Replay.Reference
		for i := range s.Asked.Notes {
			s.Own = append(s.Own, i)
		}
	}
	for c := 2.0; c <= 38; c += 0.5 {
		f := (math.Pow(10, c/21.4) - 1) / 4.37 * 1000
		s.centres = append(s.centres, f)
		i := sort.Search(len(quietTones), func(i int) bool { return quietTones[i][0] >= f })
		lo, hi := quietTones[i-1], quietTones[i]
		x := math.Log(f/lo[0]) / math.Log(hi[0]/lo[0])
		s.noise = append(s.noise, math.Pow(10, (lo[1]*(1-x)+hi[1]*x+5.87)/10))
	}
}

// harmonics returns frequencies and powers of a key, before the gain.
func (v Voice) harmonics(key int) (f, p []float64) {
	f0 := 440 * math.Pow(2, float64(key-69)/12)
	fc := v.Cutoff * math.Pow(2, v.Track*float64(key-60)/12)
	for h := 1; float64(h)*f0 <= 16000; h++ {
		if v.Odd && h%2 == 0 {
			continue
		}
		at := float64(h) * f0
		a := math.Pow(float64(h), -v.Falls) * math.Pow(1+at*at/fc/fc, -2)
		f, p = append(f, at), append(p, a*a)
	}
	return f, p
}

// Spectrum is what a key excites in each band.
func (s *Song) Spectrum(key int) []float64 {
	if x, ok := s.spectra[key]; ok {
		return x
	}
	gain := 0.0
	_, p := s.Voice.harmonics(60)
	for _, x := range p {
		gain += x
	}
	f, p := s.Voice.harmonics(key)
	out := make([]float64, len(s.centres))
	for b, c := range s.centres {
		for i := range f {
			g := math.Abs(f[i]-c) / c
			pg := 4 * c / bandwidth(c) * g
			out[b] += p[i] / gain * math.Pow(10, s.Voice.LevelDB/10) * (1 + pg) * math.Exp(-pg)
		}
	}
	s.spectra[key] = out
	return out
}

// secs is a time in seconds.
func secs(t interface{ Seconds() float64 }) float64 { return t.Seconds() }

// level is that of a contour at t, in seconds.
func level(e *alloc.Envelope, full, low, t float64) float64 {
	gate := func(t float64) float64 {
		if t < full && e.Attack > 0 {
			return 1.3 - 0.3*math.Exp((full-t)/secs(e.Attack)*math.Log(1.3/0.3))
		}
		if e.Sustain == 1 || e.Decay == 0 {
			return e.Sustain
		}
		return e.Sustain + (1-e.Sustain)*math.Exp(-(t-full)/secs(e.Decay)*math.Log(1000))
	}
	switch {
	case t < low:
		return gate(t)
	case e.Release == 0:
		return 0
	}
	return gate(low) * math.Pow(10, -60*(t-low)/secs(e.Release)/20)
}

// stop is when a note's tail ends because its key is struck again in its part.
func (s *Song) stop(i int) float64 {
	n := &s.Asked.Notes[i]
	if n.Superseded {
		return secs(n.End)
	}
	at := math.Inf(1)
	for j := range s.Asked.Notes {
		o := &s.Asked.Notes[j]
		if j > i && o.Part == n.Part && o.Key == n.Key && o.Start >= n.End && o.End > o.Start {
			at = math.Min(at, secs(o.Start))
		}
	}
	return at
}

// units is how many voices a note should have.
func (s *Song) units(i int) float64 {
	return math.Max(1, float64(s.Rules.Config.Parts[s.Asked.Notes[i].Part].Unison.Voices))
}

// kinds are what can be missing of a note: all, what being late takes, cuts, voices that
// it never had, what it was to be played as in place of what is asked, what others held on.
const kinds = 6

// powers returns what one note should sound with at t, in full voices, what it sounds
// with, and what is missing of it by kinds.
func (s *Song) powers(i int, stop, t float64) (asked, played float64, missing [kinds]float64) {
	n := &s.Asked.Notes[i]
	start := secs(n.Start)
	if n.End <= n.Start || t < start || t >= stop {
		return 0, 0, missing
	}
	gain := 1.0
	if s.Velocity {
		gain = math.Pow(float64(n.Velocity)/127, 4)
	}
	e := &s.Asked.Envelopes[n.Part]
	all := s.units(i)
	whole := math.Pow(level(e, secs(n.Full), secs(n.End), t), 2) * gain
	asked = all * whole
	if s.Own[i] < 0 {
		missing[0] = asked
		return asked, 0, missing
	}
	o := &s.Replay.Outcomes[s.Own[i]]
	if o.Ending == study.Dropped {
		missing[0] = asked
		return asked, 0, missing
	}
	m := &s.Replay.Reference.Notes[s.Own[i]]
	e = &s.Replay.Reference.Envelopes[m.Part]
	full, low := secs(m.Full), secs(m.End)
	one := math.Pow(level(e, full, low, t), 2) * gain
	if o.Voice == alloc.NoVoice {
		return asked, asked, missing
	}
	has := math.Min(all, float64(o.Voices))
	missing[3] = (all - has) * whole
	begins := math.Min(start+secs(o.Late), stop)
	if t < begins {
		missing[1] = has * whole
		return asked, 0, missing
	}
	left := has
	for _, c := range s.Replay.Cuts {
		if int(c.Note) == s.Own[i] && t >= secs(c.At) {
			left--
		}
	}
	missing[2] = (has - left) * whole
	missing[4] = left * (whole - one)
	played = left * one
	if held := low + secs(o.TooLong); o.TooLong > 0 {
		if t >= low && begins < held {
			on := math.Pow(level(e, full, held, t), 2) * gain
			missing[5] = left * (one - on)
			played = left * on
		}
		return asked, played, missing
	}
	late := m.Start + o.Late + s.Rules.Config.MinGate // seconds are rounded, so they are not compared
	if ends := secs(late); late > m.End && !s.isCut(s.Own[i]) && t >= low {
		played = left * math.Pow(level(e, full+begins-start, ends, t), 2) * gain
	}
	return asked, played, missing
}

// isCut tells whether a note loses a voice at any time.
func (s *Song) isCut(i int) bool {
	return slices.ContainsFunc(s.Replay.Cuts, func(c study.Cut) bool { return int(c.Note) == i })
}

// edges are all times at which something begins or ends.
func (s *Song) edges() []float64 {
	list := []float64{0}
	for i := range s.Asked.Notes {
		list = append(list, secs(s.Asked.Notes[i].End), secs(s.Asked.Notes[i].Full), secs(s.Asked.Notes[i].Start))
	}
	for i := range s.Replay.Reference.Notes {
		n, o := &s.Replay.Reference.Notes[i], &s.Replay.Outcomes[i]
		list = append(list, secs(n.Start), secs(n.End), secs(n.Full), secs(n.Start+o.Late), secs(n.Start+o.Late+s.Rules.Config.MinGate), secs(n.End+o.TooLong))
	}
	for _, c := range s.Replay.Cuts {
		list = append(list, secs(c.At))
	}
	sort.Float64s(list)
	list = append(list, list[len(list)-1]+3)
	fine := []float64{}
	for i := 1; i < len(list); i++ {
		n := math.Max(1, math.Ceil((list[i]-list[i-1])/tick))
		for k := 0.0; k < n; k++ {
			fine = append(fine, list[i-1]+(list[i]-list[i-1])*k/n)
		}
	}
	return append(fine, list[len(list)-1])
}

// Hear judges the whole song, and each loss by itself: of each note the kinds
// of missing that powers tells.
func (s *Song) Hear() (Heard, [][kinds]Heard) {
	edges := s.edges()
	notes := s.Asked.Notes
	stops := make([]float64, len(notes))
	for i := range notes {
		stops[i] = s.stop(i)
	}
	whole := make([]float64, len(edges)-1)
	single := make([][kinds][]float64, len(notes))
	for i := range single {
		for k := range single[i] {
			single[i][k] = make([]float64, len(whole))
		}
	}
	for at := range whole {
		t := (edges[at] + edges[at+1]) / 2
		asked, played := append([]float64{}, s.noise...), append([]float64{}, s.noise...)
		missing := make([][kinds]float64, len(notes))
		for i := range notes {
			a, p, m := s.powers(i, stops[i], t)
			missing[i] = m
			for b, x := range s.Spectrum(notes[i].Sounding) {
				asked[b] += a * x
				played[b] += p * x
			}
		}
		whole[at] = differ(asked, played)
		for i := range notes {
			for k, m := range missing[i] {
				if m == 0 {
					continue
				}
				with := append([]float64{}, played...)
				for b, x := range s.Spectrum(notes[i].Sounding) {
					with[b] = math.Max(with[b]+m*x, s.noise[b])
				}
				single[i][k][at] = differ(with, played)
			}
		}
	}
	out := make([][kinds]Heard, len(notes))
	for i := range out {
		for k := range out[i] {
			out[i][k] = judge(edges, single[i][k])
		}
	}
	return judge(edges, whole), out
}

// differ is the largest difference of two rows over the bands, in dB, at most 10.
func differ(a, b []float64) float64 {
	most := 0.0
	for i := range a {
		most = math.Max(most, math.Abs(10*math.Log10(a[i]/b[i])))
	}
	return math.Min(10, most)
}

// judge averages a difference over 200 ms around each edge and between.
func judge(edges, d []float64) (h Heard) {
	if slices.Max(d) == 0 {
		return h
	}
	area := []float64{0}
	for i, x := range d {
		area = append(area, area[i]+x*(edges[i+1]-edges[i]))
	}
	upTo := func(t float64) float64 {
		i := sort.SearchFloat64s(edges, t)
		switch {
		case i == 0:
			return 0
		case i == len(edges):
			return area[len(area)-1]
		}
		return area[i-1] + d[i-1]*(t-edges[i-1])
	}
	for t := 0.0; t < edges[len(edges)-1]+0.1; t += tick {
		mean := (upTo(t+0.1) - upTo(t-0.1)) / 0.2
		h.Worst = math.Max(h.Worst, mean)
		h.Loud += math.Max(0, mean-1) * tick
		if mean >= 0.95 {
			h.Faint += tick
		}
		if mean >= 2.95 {
			h.Plain += tick
		}
	}
	return h
}
