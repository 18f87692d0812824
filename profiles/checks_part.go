package profiles

// The rules between the fields of one part.

func finishPart(r *reader, p *partDraft, n node, at string) {
	if p.Limit > 0 && p.Reserve > p.Limit {
		r.fault(n, at, complain("reserve is %d, above limit at %d", p.Reserve, p.Limit))
	}
	if p.Mode == Poly && p.Reattack != ReattackNone {
		key, _ := lookup(n, "reattack")
		r.fault(key, join(at, "reattack"), complain("found reattack: %s in a part that is poly, where every note has its own attack",
			p.Reattack).advise("write mode: mono last"))
	}
	if u := p.Unison.Voices; u > 1 && p.Limit > 0 && u > p.Limit {
		key, _ := lookup(n, "limit")
		r.fault(key, join(at, "limit"), complain("limit is %d, and one note takes a unison of %d voices", p.Limit, u).
			advise("raise the limit to %d at least, or lower unison.voices", u))
	}
}

func finishUnison(r *reader, u *Unison, n node, at string) {
	if u.Law == LawUneven && u.Voices > maxUneven {
		_, value := lookup(n, "voices")
		r.fault(value, join(at, "voices"), complain("found %d voices, the uneven pattern ends at %d", u.Voices, maxUneven).
			advise("write law: even, golden or random, or at most %d voices", maxUneven))
	}
	if u.Regrow && u.Short != Elastic {
		key, _ := lookup(n, "regrow")
		r.fault(key, join(at, "regrow"), complain("found regrow: true with when_short: %s, only an elastic unison grows again", u.Short).
			advise("write when_short: elastic"))
	}
}
