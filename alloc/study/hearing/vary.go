package hearing

import (
	"context"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// Variation is what an answer would be if one assumption were another.
type Variation struct {
	Name string // saw, square, triangle, sine, longer, shorter, dull
	Most int    // among how many voices it was sought
	Demand
}

// varied is a song with one assumption changed, and among how many voices to seek.
type varied struct {
	name string
	song Song
	most int
}

// Vary finds the demand of a song again with every other wave for all parts, with
// releases that are study.ReleaseStep longer and shorter, and by an ear that is
// twice as dull. Each is sought among numbers of voices up to most, or as many more as
// releases are longer. Of so many that there are, list has those that the budget was
// enough for, and ctx.
func Vary(ctx context.Context, s Song, most int) (list []Variation, of int, err error) {
	all := s.variations(most)
	for _, v := range all {
		if ctx.Err() != nil {
			break
		}
		c, err := NewCurve(v.song)
		if err != nil {
			return nil, len(all), err
		}
		d, err := c.Wants(v.most)
		if err != nil {
			return nil, len(all), err
		}
		if d == nil {
			break
		}
		list = append(list, Variation{v.name, v.most, *d})
	}
	return list, len(all), nil
}

func (s Song) variations(most int) (list []varied) {
	for wave, name := range waves {
		if other, differs := s.withWave(Wave(wave)); differs {
			list = append(list, varied{name, other, most})
		}
	}
	for i, name := range [...]string{"longer", "shorter"} {
		other := s
		factor := 1 + float64(study.ReleaseStep*float64(1-2*i))
		other.Rules = s.Rules.Stretched(factor)
		list = append(list, varied{name, other, min(int(float64(most)*max(1, factor))+1, alloc.MaxVoices-1)})
	}
	dull := s
	dull.Model.Ear = DullEar
	return append(list, varied{"dull", dull, most})
}

// withWave returns the song with one wave for all parts, and whether that differs.
func (s Song) withWave(w Wave) (other Song, differs bool) {
	other = s
	other.Model.Sounds = append([]Sound(nil), s.Model.Sounds...)
	for i := range other.Model.Sounds {
		differs = differs || other.Model.Sounds[i].Wave != w
		other.Model.Sounds[i].Wave = w
	}
	return other, differs
}
