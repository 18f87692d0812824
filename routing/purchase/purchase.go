package purchase

import (
	"fmt"
	"slices"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/cables"
	"choirloft/routing/growth"
)

// Most is the most banks, interfaces or supplies that are bought at once.
const (
	Most       = 64
	mostBeside = 8
	mostRows   = 100 // that a rig file can name
)

// Purchase is whole banks, and what they need.
type Purchase struct {
	Like, Banks      int            // the bank that they are like, by index; how many
	From, Interfaces int            // the interface that the new ones are like, and how many
	Supply, Supplies int            // the same of supplies
	Rows             int            // of the rack that there were not
	Rig              *profiles.Rig  // with all of it; nothing is said of it where something is refused
	Unmeasured       *profiles.Kind // that the banks are of; nil where nothing of theirs was measured
	Refused          []Short        // what ends it, in the order of resources
	before           *routing.Map
	unknown          []growth.Limit // of interfaces, what the rig does not say
}

// Short is what is short of something that is not bought, for the banks together.
type Short struct {
	growth.Resource
	Free, Needed float64
	Unit         string // mA or HP; empty for things that are counted
	Why          string // what check would say: an error that the rig has not without the purchase
}

// String says what is short, as in "mixer inputs (0 free, 1 needed)".
func (s Short) String() string {
	if s.Why != "" {
		return "check: " + s.Why
	}
	measure := ""
	if s.Unit != "" {
		measure = " " + s.Unit
	}
	return fmt.Sprintf("%s (%s%s free, %s needed)", s.Resource, unit.Fixed(s.Free, 0), measure, unit.Fixed(s.Needed, 0)+measure)
}

// New buys banks like the one at an index for a rig with a map. Banks are from 1 to [Most].
func New(m *routing.Map, like, banks int) *Purchase {
	p := &Purchase{Like: like, Banks: banks, Rig: m.Rig, before: m}
	size := m.Rig.Banks[like].Size
	if len(m.Rig.Voices)+banks*size > alloc.MaxVoices {
		p.refuse(Short{Resource: growth.Voices, Free: float64(alloc.MaxVoices - len(m.Rig.Voices)), Needed: float64(banks * size)})
		return p
	}
	for range banks {
		p.Rig = p.Rig.GrownLike(like, size, p.players())
	}
	p.Rig, p.Unmeasured = p.Rig.Unmeasured(len(m.Rig.Banks))
	p.drive()
	p.place()
	p.feed()
	p.sums()
	p.check()
	slices.SortStableFunc(p.Refused, func(a, b Short) int { return int(a.Resource) - int(b.Resource) })
	return p
}

// check refuses what would be an error of a kind that the rig has not: such as volts for
// inputs that want a switch, where nothing is bought that lies between.
func (p *Purchase) check() {
	if len(p.Refused) > 0 {
		return
	}
	for _, f := range routing.NewMap(p.Rig).Findings {
		known := func(was routing.Finding) bool { return was.Code == f.Code }
		if f.Severity == routing.Error && !slices.ContainsFunc(p.before.Findings, known) {
			p.refuse(Short{Resource: growth.Check, Needed: 1, Why: f.Text})
			return
		}
	}
}

func (p *Purchase) refuse(s Short) { p.Refused = append(p.Refused, s) }

// players are the parts that play on the bank that the new ones are like.
func (p *Purchase) players() (parts []int) {
	for i := range p.before.Rig.Parts {
		if slices.Contains(p.before.Rig.Parts[i].Banks, p.Like) {
			parts = append(parts, i)
		}
	}
	return parts
}

// drive buys as few interfaces as give every new lane a jack and a message, and every new
// voice the volts for a key that those of its like get.
func (p *Purchase) drive() {
	if len(p.Rig.Interfaces) == 0 {
		return
	}
	first := &p.before.Voices[p.before.Rig.Banks[p.Like].First]
	if p.From = first.Interface; p.From < 0 {
		p.From = len(p.Rig.Interfaces) - 1
	}
	now, rig := routing.Lacks(p.before.Rig), p.Rig
	drives := func(rig *profiles.Rig) bool {
		lacks := routing.Lacks(rig)
		return lacks.Jacks <= now.Jacks && lacks.Messages <= now.Messages
	}
	jacks := false // are there, but of other volts
	for n := 0; n <= mostBeside; n++ {
		if drives(rig) {
			held, ok := p.pitched(rig)
			if jacks = true; ok && drives(held) {
				p.Rig, p.Interfaces = held, n
				return
			}
		}
		rig = p.before.Holding(rig.WithInterface(p.From))
	}
	if jacks {
		p.refuse(Short{Resource: growth.CVs, Free: float64(len(p.free(p.before))), Needed: float64(p.Banks * p.Size())})
		return
	}
	for _, l := range p.limits() {
		if l.Resource <= growth.Channels && !l.Unknown && l.Banks < p.Banks {
			p.refuse(Short{l.Resource, l.Free, l.Takes * float64(p.Banks), l.Unit, ""})
		}
	}
	if len(p.Refused) == 0 { // messages, on a link of another kind
		p.refuse(Short{Resource: growth.Channels, Needed: float64(routing.Lacks(p.Rig).Messages - now.Messages)})
	}
}

// limits are what growth says of banks like these.
func (p *Purchase) limits() []growth.Limit { return growth.Like(p.before, p.Like).Limits }

// sums looks at what is counted, and not bought.
func (p *Purchase) sums() {
	for _, l := range growth.Counted(p.before, p.Like) {
		if !l.Unknown && l.Banks < p.Banks {
			p.refuse(Short{l.Resource, l.Free, l.Takes * float64(p.Banks), l.Unit, ""})
		}
	}
}

// Needs is what there is, before anything is bought, of all that the rig says enough of:
// what ends first comes first.
func (p *Purchase) Needs() (all []Short) {
	for _, l := range p.limits() {
		if !l.Unknown {
			all = append(all, Short{l.Resource, l.Free, l.Takes * float64(p.Banks), l.Unit, ""})
		}
	}
	return all
}

// Unknown are the resources of which the rig does not say enough, each once.
func (p *Purchase) Unknown() (all []growth.Resource) {
	for _, l := range slices.Concat(p.limits(), p.unknown) {
		if l.Unknown && l.Resource != growth.Multiples && !slices.Contains(all, l.Resource) {
			all = append(all, l.Resource)
		}
	}
	slices.Sort(all)
	return all
}

// OwnOfInterfaces are the keys of an interface that do not hold for one like it: where it
// stands, and what was measured.
var OwnOfInterfaces = []string{"row", "gain_error", "offset_error", "nonlinearity"}

// NewInterfaces are those that are bought.
func (p *Purchase) NewInterfaces() []profiles.Interface {
	return p.Rig.Interfaces[len(p.before.Rig.Interfaces):]
}

// Names are those of the new banks.
func (p *Purchase) Names() (names []string) {
	for _, b := range p.Rig.Banks[len(p.before.Rig.Banks):] {
		names = append(names, b.Name)
	}
	return names
}

// LikeName is the name of the bank that they are like.
func (p *Purchase) LikeName() string { return p.before.Rig.Banks[p.Like].Name }

// Size is how many voices each of the banks has.
func (p *Purchase) Size() int { return p.before.Rig.Banks[p.Like].Size }

// Lines is how many entries a rig file has for it.
func (p *Purchase) Lines() int { return p.Banks + p.Interfaces + p.Supplies }

// Cables is how many cables more the rig takes.
func (p *Purchase) Cables() int {
	return len(cables.List(routing.NewMap(p.Rig))) - len(cables.List(p.before))
}
