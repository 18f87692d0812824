package recorded

import (
	"context"
	"fmt"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/take"
	"choirloft/routing/tuning"
)

// Recording is what was recorded of a take: the mix, or a sound for each bank or each
// voice, recorded together.
type Recording struct {
	Sounds []*tuning.Sound
	Of     []int // by part of the take, the sound that it is in; nil for the only one
	Path   profiles.SoundPath
}

// Mix is a recording of all voices together.
func Mix(sound *tuning.Sound) Recording { return Recording{Sounds: []*tuning.Sound{sound}} }

// of is the sound in which a part is, by itself.
func (r *Recording) of(part int) int {
	if r.Of == nil {
		return everySound
	}
	return r.Of[part]
}

// apart is by how much recordings of one take may differ in length, in seconds.
const apart = 0.5

// together refuses sounds that cannot have been recorded at once.
func (r *Recording) together() error {
	first := r.Sounds[0]
	seconds := func(s *tuning.Sound) float64 { return float64(s.Frames) / float64(s.Rate) }
	for _, s := range r.Sounds[1:] {
		if s.Rate != first.Rate {
			return refuse(fmt.Sprintf("one recording has %d frames a second, another %d", first.Rate, s.Rate), "record all tracks at once, in one project")
		}
		if d := seconds(s) - seconds(first); d > apart || d < -apart {
			return refuse(fmt.Sprintf("one recording lasts %s, another %s", unit.Length(seconds(first)), unit.Length(seconds(s))),
				"record all tracks at once, and export them from the same place to the same place")
		}
	}
	return nil
}

// everySound stands for all sounds of a recording together.
const everySound = -1

func newReader(ctx context.Context, t *take.Take, from Recording) *reader {
	r := &reader{ctx: ctx, take: t, sounds: from.Sounds, only: everySound, rate: from.Sounds[0].Rate}
	r.spectra = newSpectra(float64(r.rate))
	for _, s := range from.Sounds {
		r.frames, r.short = max(r.frames, s.Frames), r.short || s.Short
	}
	return r
}

// mix fills samples from a frame on with the sound that is read, or with the sum of all,
// while there is still someone who waits for them.
func (r *reader) mix(x []float64, from int64) error {
	if err := r.ctx.Err(); err != nil {
		return err
	}
	if r.only != everySound {
		return r.sounds[r.only].Mix(x, from)
	}
	if err := r.sounds[0].Mix(x, from); err != nil || len(r.sounds) == 1 {
		return err
	}
	if len(r.other) < len(x) {
		r.other = make([]float64, len(x))
	}
	other := r.other[:len(x)]
	for _, s := range r.sounds[1:] {
		if err := s.Mix(other, from); err != nil {
			return err
		}
		for i, v := range other {
			x[i] += v
		}
	}
	return nil
}
