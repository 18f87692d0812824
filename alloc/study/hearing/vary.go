package hearing

import "choirloft/alloc/study"

// Variation is what an answer would be if one assumption were another.
type Variation struct {
	Name string // triangle, longer, shorter, dull …
	Demand
}

// Vary finds the demand of a song again with every other wave for all parts, with
// releases that are study.ReleaseStep longer and shorter, and by an ear that is
// twice as dull. Each is sought among numbers of voices up to most.
func Vary(s Song, most int) ([]Variation, error) {
	var list []Variation
	try := func(name string, s Song, most int) error {
		c, err := NewCurve(s)
		if err != nil {
			return err
		}
		d, err := c.Demand(most)
		list = append(list, Variation{name, d})
		return err
	}
	for wave, name := range [...]string{Saw: "saw", Square: "square", Triangle: "triangle", Sine: "sine"} {
		other, differs := s.withWave(Wave(wave))
		if !differs {
			continue
		}
		if err := try(name, other, most); err != nil {
			return nil, err
		}
	}
	for i, name := range [...]string{"longer", "shorter"} {
		other := s
		factor := 1 + float64(study.ReleaseStep*float64(1-2*i))
		other.Rules = s.Rules.Stretched(factor)
		if err := try(name, other, int(float64(most)*max(1, factor))+1); err != nil {
			return nil, err
		}
	}
	dull := s
	dull.Model.Ear = DullEar
	return list, try("dull", dull, most)
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
