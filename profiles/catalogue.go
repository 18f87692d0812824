package profiles

import (
	"path"
	"strings"
)

// ProfileInfo names a built-in profile.
type ProfileInfo struct {
	Name  string // as a rig writes it
	About string // what it is, on one line, without a full stop
}

// InterfaceProfiles lists the built-in interfaces, those of a kind by size.
func InterfaceProfiles() []ProfileInfo { return interfaceProfiles.infos() }

// SequencerProfiles lists the built-in sequencers, by size.
func SequencerProfiles() []ProfileInfo { return sequencerProfiles.infos() }

// VoiceKinds lists the built-in kinds of voice, by name.
func VoiceKinds() []ProfileInfo { return kindProfiles.infos() }

// FittingInterface returns the smallest built-in interface that has a pitch and
// a gate jack for each of so many voices. Of two with as many it takes the one
// whose jacks are for CVs and gates alone. It is empty where none has enough,
// which is beyond 64 voices.
func FittingInterface(voices int) string {
	best, least := "", 0
	for _, name := range interfaceProfiles.names() {
		i, _ := interfaceProfiles.builtin(name)
		pairs := min(i.CV, i.Gates)
		if i.Outputs > 0 {
			pairs = i.Outputs / 2
		}
		better := best == "" || pairs < least || pairs == least && i.Outputs == 0
		if pairs >= voices && better {
			best, least = name, pairs
		}
	}
	return best
}

func (p profileSet[T]) infos() []ProfileInfo {
	names := p.names()
	infos := make([]ProfileInfo, len(names))
	for i, name := range names {
		infos[i] = ProfileInfo{name, aboutProfile(p.folder, name)}
	}
	return infos
}

// aboutProfile is the first sentence of the comment at the top of a built-in
// profile.
func aboutProfile(folder, name string) string {
	var words []string
	for line := range strings.Lines(string(builtinData(folder, name))) {
		comment, ok := strings.CutPrefix(line, "#")
		if !ok {
			break
		}
		words = append(words, strings.Fields(comment)...)
	}
	sentence, _, _ := strings.Cut(strings.Join(words, " ")+" ", ". ")
	return sentence
}

// builtinData is the file of a built-in profile that there is.
func builtinData(folder, name string) []byte {
	data, err := builtinFiles.ReadFile(path.Join("builtin", folder, name+".yaml"))
	if err != nil {
		panic("bug: " + err.Error())
	}
	return data
}
