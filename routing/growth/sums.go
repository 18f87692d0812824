package growth

import (
	"fmt"
	"math"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/rack"
)

// multiples looks at those that reach the bank that further ones are like, and of which the rig
// says how many outputs they have: a further bank takes as many of each.
func (g *grower) multiples() Limit {
	l := Limit{Resource: Multiples, Banks: math.MaxInt, Unknown: true, Needs: "a multiple, with its outputs, that reaches bank " + g.bank().Name}
	for i := range g.m.Nets {
		n := &g.m.Nets[i]
		for k := range n.Branches {
			b := &n.Branches[k]
			takes := 0
			for _, in := range b.Inputs {
				if in.Bank == g.like {
					takes++
				}
			}
			free, behind := g.free(n, b)
			if takes == 0 || behind == "" {
				continue
			}
			if banks := min(Most, max(0, free)/takes); banks < l.Banks {
				l = Limit{Resource: Multiples, Banks: banks, Free: float64(max(0, free)), Takes: float64(takes),
					Basis: fmt.Sprintf("%d free behind %s, a bank takes %d", max(0, free), behind, takes)}
			}
		}
	}
	if l.Unknown {
		l.Banks = 0
	}
	return l
}

// free is how many outputs are free where a branch ends, and what that is behind: a module, or
// the jack of its net. Behind is empty where the rig does not say how many there are.
func (g *grower) free(n *routing.Net, b *routing.Branch) (free int, behind string) {
	if way := g.rig.Way(b.Via); len(way) > 0 {
		m := &g.rig.Gear[way[len(way)-1]]
		if free = m.Outs - len(m.On); m.Outs == 0 {
			return 0, ""
		}
		for _, t := range m.To {
			free -= len(routing.InputsOf(g.rig, t))
		}
		return free, m.Name
	}
	switch {
	case b.Wire < 0:
	case b.Through == profiles.Buffered && len(b.Tree.Levels) > 0:
		return b.Tree.Equal()*b.Tree.Outs - (b.Tree.Equal() - 1) - b.Tree.Inputs, n.JackName(g.rig)
	case b.Through == profiles.Passive && b.Ends > 0 && g.rig.Wiring[b.Wire].Outs > 0:
		return g.rig.Wiring[b.Wire].Outs - b.Ends, n.JackName(g.rig)
	}
	return 0, ""
}

// mixers counts the inputs for the submixers of banks.
func (g *grower) mixers() Limit {
	l := Limit{Resource: MixerInputs}
	inputs := 0
	for _, x := range g.rig.Gear {
		inputs += x.Inputs
	}
	if inputs == 0 {
		l.Unknown, l.Needs = true, "inputs of the mixer, under gear"
		return l
	}
	l.Banks = min(Most, max(0, inputs-len(g.rig.Banks)))
	l.Free, l.Takes = float64(max(0, inputs-len(g.rig.Banks))), 1
	l.Basis = fmt.Sprintf("%d of %d have a bank", len(g.rig.Banks), inputs)
	return l
}

// current is how many banks the supplies bear, each rail at most at three
// quarters.
func (g *grower) current() Limit {
	l := Limit{Resource: Current}
	draw := g.bank().Current
	if len(draw) == 0 || len(g.rig.Supplies) == 0 {
		l.Unknown, l.Needs = true, "ma of bank "+g.bank().Name+" and supplies"
		return l
	}
	var words []string
	most := -1
	for i, s := range rack.New(g.rig).Supplies {
		n, tightest, free, takes := Most, "", 0.0, 0.0
		for _, c := range draw {
			if c.Amps == 0 {
				continue
			}
			left := 0.0
			for _, r := range s.Rails {
				if r.Rail == c.Rail {
					left = max(0, rack.MostShare*float64(r.Rating)-float64(r.Drawn))
				}
			}
			if k := int(math.Floor(left/float64(c.Amps) + 1e-9)); k < n || tightest == "" {
				free, takes = 1000*left, 1000*float64(c.Amps)
				n, tightest = min(n, k), fmt.Sprintf("%+d of %s has %s mA left", int(c.Rail), g.rig.Supplies[i].Name, unit.Fixed(free, 0))
			}
		}
		if n > most {
			most, l.Free, l.Takes, l.Unit = n, free, takes, "mA"
		}
		l.Banks = min(Most, l.Banks+n)
		words = append(words, tightest)
	}
	l.Basis = strings.Join(words, ", ") + " at 75 %"
	return l
}

// width is how many banks stand beside what is in the rows that the rig names.
func (g *grower) width() Limit {
	l := Limit{Resource: Width}
	if g.bank().HP == 0 {
		l.Unknown, l.Needs = true, "hp of bank "+g.bank().Name
		return l
	}
	widest := 0
	for _, r := range rack.New(g.rig).Rows {
		free := max(0, g.rig.Rack.HP-r.HP)
		l.Banks = min(Most, l.Banks+free/g.bank().HP)
		widest = max(widest, free)
	}
	l.Free, l.Takes, l.Unit = float64(widest), float64(g.bank().HP), "HP"
	l.Basis = fmt.Sprintf("the widest gap in any row is %d HP, a bank takes %d", widest, g.bank().HP)
	return l
}
