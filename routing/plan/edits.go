package plan

import (
	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// edits returns what an override changes of what each part is given to play.
func (o *Overrides) edits(cfg *alloc.Config) ([]study.Edit, error) {
	trims, err := resolve(cfg, &trimKind, o)
	if err != nil {
		return nil, err
	}
	lifts, err := resolve(cfg, &liftKind, o)
	if err != nil {
		return nil, err
	}
	shorter, err := resolve(cfg, &shortenKind, o)
	if err != nil {
		return nil, err
	}
	doubles, err := resolve(cfg, &doublesKind, o)
	if err != nil {
		return nil, err
	}
	list := make([]study.Edit, len(cfg.Parts))
	for i := range list {
		if t := trims.byPart[i]; t != nil {
			list[i].Trim, list[i].TrimShort = t.By, t.WhenShort
		}
		if l := lifts.byPart[i]; l != nil {
			list[i].Lift, list[i].LiftShort = l.By, l.WhenShort
		}
		if s := shorter.byPart[i]; s != nil {
			list[i].Shorten, list[i].ShortenShort = s.By, s.WhenShort
		}
		set(&list[i].DropDoubles, doubles.byPart[i])
	}
	return list, nil
}

// Performance returns a song as the parts are given it: in the order of the
// rig, and with the edits of the overrides. Edits are of whole parts, as their players know them.
func (p *Plan) Performance(song *midi.Song) study.Performance {
	rules := p.Rules
	if p.whole != nil {
		rules.Config.Parts = p.whole
	}
	parts := rules.Config.Parts
	given := study.Performance{Steps: song.Steps(p.Rig.Order, alloc.ZonesOf(parts)...), End: song.Duration()}
	asked := given
	for i, e := range p.Edits {
		if e.TrimShort || e.LiftShort || e.ShortenShort {
			e.Short = study.ShortOf(rules, asked, i)
		}
		given = e.Apply(given, parts, i)
	}
	return given
}
