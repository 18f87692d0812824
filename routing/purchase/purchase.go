package purchase

import (
	"fmt"
	"reflect"
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
	Like, Banks      int               // the bank that they are like, by index; how many
	From, Interfaces int               // the interface that the new ones are like, and how many
	Multiples        []cables.Multiple // on wires, or as modules
	Supply, Supplies int               // the same of supplies
	Rows             int               // of the rack that there were not
	Rig              *profiles.Rig     // with all of it; nothing is said of it where something is refused
	Unmeasured       *profiles.Kind    // that the banks are of; nil where nothing of theirs was measured
	Refused          []Short           // what ends it, in the order of resources
	// ByHand are for each new bank its inputs that [growth.Further] does not wire as those of
	// its like, and set-ups for which it needs a gate-OR.
	ByHand  [][]string
	driver  int    // the interface that drives the bank that they are like
	volts   *Short // jacks are free, but too few that give the volts for a key that those of the like give
	before  *routing.Map
	unknown []growth.Limit // of interfaces, what the rig does not say
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

// New buys banks like the one at an index for a rig with a map, with interfaces like one of
// those that the rig has: of those with which the rack holds them, of which it takes fewest; of
// several, like the one that drives that bank. Banks are from 1 to [Most].
func New(m *routing.Map, like, banks int) *Purchase {
	var best *Purchase
	for _, from := range kinds(m, like) {
		p := buy(m, like, banks, from)
		switch {
		case len(p.Refused) == 0 && p.Interfaces == 0:
			return p
		case best == nil, len(p.Refused) == 0 && (len(best.Refused) > 0 || p.Interfaces < best.Interfaces):
			best = p
		}
	}
	return best
}

// kinds are interfaces of which each is of another kind, first that which drives a bank, or
// the last where none does; −1 alone where there are none.
func kinds(m *routing.Map, like int) []int {
	if len(m.Rig.Interfaces) == 0 {
		return []int{-1}
	}
	first := m.Voices[m.Rig.Banks[like].First].Interface
	if first < 0 {
		first = len(m.Rig.Interfaces) - 1
	}
	all := []int{first}
	for i := range m.Rig.Interfaces {
		if !slices.ContainsFunc(all, func(j int) bool { return sameKind(&m.Rig.Interfaces[i], &m.Rig.Interfaces[j]) }) {
			all = append(all, i)
		}
	}
	return all
}

// sameKind tells whether two interfaces differ in nothing but what is their own.
func sameKind(a, b *profiles.Interface) bool {
	plain := func(f profiles.Interface) profiles.Interface {
		f.Name, f.Pos, f.Row, f.GainError, f.OffsetError, f.Nonlinearity = "", profiles.Pos{}, 0, nil, nil, nil
		return f
	}
	return reflect.DeepEqual(plain(*a), plain(*b))
}

// buy is [New] with interfaces like one of the rig.
func buy(m *routing.Map, like, banks, from int) *Purchase {
	p := &Purchase{Like: like, Banks: banks, Rig: m.Rig, From: max(0, from), before: m}
	size := m.Rig.Banks[like].Size
	if len(m.Rig.Voices)+banks*size > alloc.MaxVoices {
		p.refuse(Short{Resource: growth.Voices, Free: float64(alloc.MaxVoices - len(m.Rig.Voices)), Needed: float64(banks * size)})
		return p
	}
	for range banks {
		var byHand []string
		p.Rig, byHand = growth.Further(p.Rig, like, p.players())
		p.ByHand = append(p.ByHand, byHand)
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
	after := routing.NewMap(p.Rig)
	for _, f := range after.Findings {
		known := func(was routing.Finding) bool { return was.Code == f.Code }
		if f.Severity == routing.Error && !slices.ContainsFunc(p.before.Findings, known) {
			p.refuse(Short{Resource: growth.Check, Needed: 1, Why: f.Text})
			return
		}
	}
	unsaid := false
	if p.Multiples, unsaid = cables.FurtherMultiples(p.before, after); unsaid {
		p.unknown = append(p.unknown, growth.Limit{Resource: growth.Multiples, Unknown: true})
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
	if p.driver = p.before.Voices[p.before.Rig.Banks[p.Like].First].Interface; p.driver < 0 {
		p.driver = p.From
	}
	now, rig := routing.Lacks(p.before.Rig), p.Rig
	drives := func(rig *profiles.Rig) (jacks, all bool) {
		lacks := routing.Lacks(rig)
		jacks = lacks.Jacks <= now.Jacks
		return jacks, jacks && lacks.Messages <= now.Messages
	}
	for n := 0; n <= mostBeside; n++ {
		then := rig
		jacks, all := drives(then)
		if jacks && !all && n > 0 {
			then, _ = p.aside(then)
			_, all = drives(then)
		}
		if all {
			held, ok := p.pitched(then)
			if _, all = drives(held); ok && all {
				p.Rig, p.Interfaces = held, n
				p.setUps()
				return
			}
			p.volts = &Short{Resource: growth.Volts, Free: float64(len(p.free(p.before))), Needed: float64(p.pitches())}
		}
		rig = p.before.Holding(rig.WithInterface(p.From))
	}
	if p.volts != nil {
		p.refuse(*p.volts)
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

// pitches is how many jacks the pitches of the new voices take.
func (p *Purchase) pitches() int {
	if p.before.Rig.Banks[p.Like].Shared == profiles.SharedPitch {
		return p.Banks
	}
	return p.Banks * p.Size()
}

// setUps lets new interfaces play in the set-ups that the interface plays in which drives the
// bank that the new ones are like.
func (p *Purchase) setUps() {
	p.Rig.SetUps = slices.Clone(p.Rig.SetUps)
	for i := range p.Rig.SetUps {
		s := &p.Rig.SetUps[i]
		if s.Sequenced || s.From != p.driver && !slices.Contains(s.Also, p.driver) {
			continue
		}
		s.Also = slices.Clone(s.Also)
		for n := range p.Interfaces {
			s.Also = append(s.Also, len(p.before.Rig.Interfaces)+n)
		}
	}
}

// limits are what growth says of banks like these.
func (p *Purchase) limits() []growth.Limit { return growth.Like(p.before, p.Like).Limits }

// sums looks at what is counted, and not bought.
func (p *Purchase) sums() {
	if l := growth.Mixers(p.before, p.Like); !l.Unknown && l.Banks < p.Banks {
		p.refuse(Short{l.Resource, l.Free, l.Takes * float64(p.Banks), l.Unit, ""})
	}
}

// Needs is what there is, before anything is bought, of all that the rig says enough of:
// what ends first comes first.
func (p *Purchase) Needs() (all []Short) {
	if p.volts != nil {
		all = append(all, *p.volts)
	}
	for _, l := range p.limits() {
		if !l.Unknown {
			all = append(all, Short{l.Resource, l.Free, l.Takes * float64(p.Banks), l.Unit, ""})
		}
	}
	return all
}

// Unknown are the resources of which the rig does not say enough, each once.
func (p *Purchase) Unknown() (all []growth.Resource) {
	limits := slices.DeleteFunc(p.limits(), func(l growth.Limit) bool { return l.Resource == growth.Multiples })
	for _, l := range slices.Concat(limits, p.unknown) {
		if l.Unknown && !slices.Contains(all, l.Resource) {
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
