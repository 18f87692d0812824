package routing

import (
	"fmt"
	"slices"

	"choirloft/profiles"
)

// builtin is the size of a built-in interface profile.
type builtin struct {
	name       string
	cvs, gates int
	outputs    int // that give either, instead
}

// builtins are the built-in interface profiles, each kind by size. Tests hold
// them against profiles.
var builtins = []builtin{
	{"cv4-gate4", 4, 4, 0}, {"cv8-gate8", 8, 8, 0}, {"cv16-gate16", 16, 16, 0}, {"cv24-gate24", 24, 24, 0},
	{"cv32-gate32", 32, 32, 0}, {"cv48-gate48", 48, 48, 0}, {"cv64-gate64", 64, 64, 0},
	{"audio-dc8", 0, 0, 8}, {"audio-dc16", 0, 0, 16},
}

// larger tells whether a profile has at least the jacks of an interface of its
// kind, and more in all.
func (b builtin) larger(f *profiles.Interface) bool {
	return (b.outputs > 0) == (f.Outputs > 0) && b.cvs >= f.CV && b.gates >= f.Gates &&
		b.cvs+b.gates+b.outputs > f.CV+f.Gates+f.Outputs
}

// on gives an interface the jacks of the profile.
func (b builtin) on(f profiles.Interface) profiles.Interface {
	f.CV, f.Gates, f.Outputs = b.cvs, b.gates, b.outputs
	return f
}

// ports is how many MIDI ports such an interface has.
func (b builtin) ports() int {
	if b.cvs > 32 {
		return 4
	}
	return 2
}

// tryLargerProfile tries larger profiles for one interface, the next one that
// does.
func (m *Map) tryLargerProfile() {
	for i := range m.Rig.Interfaces {
		f := &m.Rig.Interfaces[i]
		for _, b := range builtins {
			if !b.larger(f) {
				continue
			}
			then := *m.Rig
			then.Interfaces = slices.Clone(m.Rig.Interfaces)
			then.Interfaces[i] = b.on(*f)
			if _, given := m.Rig.Given("interfaces." + f.Name + ".ports"); !given {
				then.Interfaces[i].Ports = max(f.Ports, b.ports())
			}
			if m.try(fmt.Sprintf("the jacks of %[2]s for %[1]s, with shared CVs on its last jacks", f.Name, b.name), &then) {
				break
			}
		}
	}
}

// tryFurtherInterface tries one interface more, of the smallest profile that
// does.
func (m *Map) tryFurtherInterface() {
	for _, b := range builtins {
		if m.try("one more interface of profile "+b.name, m.further(b, 1)) {
			return
		}
	}
}

// mostInterfaces is how many a rig may have.
const mostInterfaces = 64

// tryFurtherInterfaces tries several more of the largest profile, as few as will
// do. Fewer than the jacks that are missing never do.
func (m *Map) tryFurtherInterfaces() {
	largest := slices.MaxFunc(builtins, func(a, b builtin) int { return a.cvs + a.gates - b.cvs - b.gates })
	least := (len(m.Missing) + largest.cvs + largest.gates - 1) / (largest.cvs + largest.gates)
	for n := max(2, least); n <= min(2*least, mostInterfaces-len(m.Rig.Interfaces)); n++ {
		if m.try(fmt.Sprintf("%d further interfaces of profile %s", n, largest.name), m.further(largest, n)) {
			return
		}
	}
}

// further is the rig with so many more interfaces of a profile.
func (m *Map) further(b builtin, n int) *profiles.Rig {
	then := *m.Rig
	more := profiles.Interface{Connector: 8, Ports: b.ports(), Scale: profiles.Scale{PerOctave: 1}}
	if b.outputs > 0 {
		more.Link = profiles.Audio
	}
	then.Interfaces = slices.Concat(m.Rig.Interfaces, slices.Repeat([]profiles.Interface{b.on(more)}, n))
	return &then
}
