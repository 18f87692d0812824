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

// Vary finds the demand of a song again with every other wave for all parts, with
// releases that are study.ReleaseStep longer and shorter, and by an ear that is
// twice as dull. Each is sought among numbers of voices up to most, or as many more as
// releases are longer. Of so many that there are, list has those that the budget was
// enough for, and ctx.
func (c *Curve) Vary(ctx context.Context, most int) (list []Variation, of int, err error) {
	all := c.variations(most)
	for _, v := range all {
		if ctx.Err() != nil {
			break
		}
		d, err := v.find()
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

// varied is a song with one assumption changed, and among how many voices to seek.
type varied struct {
	name string
	most int
	find func() (*Demand, error)
}

func (c *Curve) variations(most int) (list []varied) {
	if c.runs == nil {
		c.Use(&Runs{})
	}
	for wave, name := range waves {
		if other, differs := c.withWave(Wave(wave)); differs {
			list = append(list, varied{name, most, func() (*Demand, error) { return other.demand(most, c.Asked.Reference, c.runs) }})
		}
	}
	for i, name := range [...]string{"longer", "shorter"} {
		other := c.Song
		factor := 1 + float64(study.ReleaseStep*float64(1-2*i))
		other.Rules = c.Rules.Stretched(factor)
		most := min(int(float64(most)*max(1, factor))+1, alloc.MaxVoices-1)
		list = append(list, varied{name, most, func() (*Demand, error) {
			return other.demand(most, study.NewReference(study.PooledAsAsked(other.Rules), other.Performance), nil)
		}})
	}
	// Another ear hears the same differences.
	return append(list, varied{"dull", most, func() (*Demand, error) { return c.wants(DullEar, most) }})
}

// demand finds that of a song.
func (s Song) demand(most int, ref *study.Reference, r *Runs) (*Demand, error) {
	c, err := newCurve(s, ref)
	if err != nil {
		return nil, err
	}
	c.runs = r
	return c.Wants(most)
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
