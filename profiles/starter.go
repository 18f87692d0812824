package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"choirloft/alloc"
)

// StarterOptions say what a starter rig has. The zero value is a rig of one
// bank of four voices.
type StarterOptions struct {
	Name   string // one line of at most 80 characters; empty for "New rig"
	Banks  int    // 1–1024; 0 for 1
	Voices int    // of each bank, 1–1024, and 4096 in all; 0 for 4
	// Profile is a built-in interface, or the path of a profile file; empty for
	// FittingInterface, or as many of the largest as it takes.
	Profile string
	Kind    string // a built-in kind of voice; empty for saw-lowpass
	// Patch, if it is not nil, says instead of Banks, Voices and Profile what there is.
	// Check does not look into it: Read does, once it is written.
	Patch *StarterPatch
	// Parts are at most 256; none for one part on all banks.
	Parts []StarterPart
	// Remarks stand below the parts, a line each, as Comment of a part.
	Remarks []string
	// Schema is where an editor finds the file of Schema, as a path from the
	// rig's folder or a URL without spaces; empty for rig.schema.json.
	Schema string
}

// StarterPart is a part that a starter rig proposes.
type StarterPart struct {
	// Name is what the part is called, such as the name of a track, as PartNames has
	// it. Empty for part.
	Name    string
	Sources []alloc.Source // channels, no two alike; empty for every one but 10
	Zone    Zone           // of per-note channels, with as many Members, instead of Sources
	Members int
	Keys    alloc.KeyRange // the zero value for all keys
	Banks   []int          // from 0, each once; empty for all
	Mode    Mode           // default poly
	Unison  int            // voices on one note, 1–64, and no more than its banks have; 0 for 1
	// Comment stands above the part, on one line; empty for none. What is
	// longer than 160 characters is cut.
	Comment string
}

// filled are the options with their defaults.
func (o StarterOptions) filled() StarterOptions {
	fill := func(s *string, def string) {
		if *s == "" {
			*s = def
		}
	}
	fill(&o.Name, "New rig")
	fill(&o.Kind, defaultKind)
	fill(&o.Schema, "rig.schema.json")
	if o.Banks == 0 {
		o.Banks = 1
	}
	if o.Voices == 0 {
		o.Voices = 4
	}
	return o
}

// Check says what is wrong with the options: all of it, joined.
func (o StarterOptions) Check() error {
	o = o.filled()
	errs := []error{
		unless(isLine(o.Name, 80), "found the name %q, want one line of at most 80 characters", shorten(o.Name)),
		unless(1 <= o.Banks && o.Banks <= 1024, "found %d banks, want 1 to 1024", o.Banks),
		unless(1 <= o.Voices && o.Voices <= 1024, "found %d voices a bank, want 1 to 1024", o.Voices),
		unless(o.Banks > 1024 || o.Voices > 1024 || o.Banks*o.Voices <= maxVoices,
			"found %d banks of %d voices, want at most %d voices", o.Banks, o.Voices, maxVoices),
		unless(o.Profile == "" || slices.Contains(interfaceProfiles.names(), o.Profile) || isProfilePath(o.Profile),
			"found the profile %q, want one of %s, or the path of a profile file",
			shorten(o.Profile), strings.Join(interfaceProfiles.names(), ", ")),
		unless(slices.Contains(kindProfiles.names(), o.Kind),
			"found the kind of voice %q, want one of %s", shorten(o.Kind), strings.Join(kindProfiles.names(), ", ")),
		unless(isLine(o.Schema, 1000) && !strings.Contains(o.Schema, " "), "found the schema %q, want a path without spaces", shorten(o.Schema)),
		unless(len(o.Parts) <= 256, "found %d parts, want at most 256", len(o.Parts)),
	}
	for i, p := range o.Parts {
		if err := p.check(o); err != nil {
			errs = append(errs, fmt.Errorf("part %d: %w", i+1, err))
		}
	}
	if err := errors.Join(errs...); err != nil {
		return err
	}
	size := len(Starter(o))
	return unless(size <= MaxBytes, "the rig would have %d bytes, want at most %d", size, MaxBytes)
}

func unless(ok bool, format string, args ...any) error {
	if ok {
		return nil
	}
	return fmt.Errorf(format, args...)
}

// isProfilePath tells whether a rig may name a profile file so.
func isProfilePath(s string) bool {
	return isPath(s) && !strings.Contains(s, `\`) && isLine(s, 200) && fs.ValidPath(strings.TrimPrefix(s, "./"))
}

func (p StarterPart) check(o StarterOptions) error {
	banks := o.Banks
	for i, b := range p.Banks {
		if b < 0 || b >= o.Banks || slices.Contains(p.Banks[:i], b) {
			return fmt.Errorf("found bank %d, want 0 to %d, each once", b, o.Banks-1)
		}
		banks = len(p.Banks)
	}
	for i, s := range p.Sources {
		if s.Channels == 0 || s.Port > 127 || slices.ContainsFunc(p.Sources[:i], func(t alloc.Source) bool { return overlap(s, t) }) {
			return fmt.Errorf("found the channels %s, want some, and no two alike", channelText(p.Sources))
		}
	}
	if n := strings.Count(channelText(p.Sources), ",") + 1; n > maxChannels {
		return fmt.Errorf("found %d channels, want at most %d", n, maxChannels)
	}
	most := min(64, banks*o.Voices)
	return errors.Join(
		unless(0 <= p.Unison && p.Unison <= most, "found a unison of %d voices, want 1 to %d", p.Unison, most),
		unless(p.Keys.Low <= p.Keys.High && p.Keys.High <= 127, "found the keys %d-%d, want two of 0 to 127, the lower first",
			p.Keys.Low, p.Keys.High),
	)
}
