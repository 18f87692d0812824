package profiles

import (
	"embed"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

//go:embed builtin
var builtinFiles embed.FS

// profileName names a profile; its values are string. Whether there is such a
// profile is found out by profileSet.
type profileName struct {
	text
	folder string // of the built-in ones
}

func profileIn(folder string) leaf { return leaf{profileName{text{"a profile", 200}, folder}} }

// profileSet holds the profiles of interfaces, of sequencers or of voices.
type profileSet[T any] struct {
	folder   string // of the built-in ones
	fallback string // built-in profile to start from where none is named
	file     object[T]
}

// names lists the built-in profiles, those with numbers by size.
func (p profileSet[T]) names() []string { return builtinNames(p.folder) }

func builtinNames(folder string) []string {
	entries, err := builtinFiles.ReadDir("builtin/" + folder)
	if err != nil {
		panic("bug: " + err.Error())
	}
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), ".yaml"))
	}
	slices.SortFunc(names, byNumber)
	return names
}

// byNumber compares names with numbers in them: cv8 comes before cv16.
func byNumber(a, b string) int {
	stem := func(s string) string { return strings.TrimLeft(s, "abcdefghijklmnopqrstuvwxyz-") }
	headA, headB := strings.TrimSuffix(a, stem(a)), strings.TrimSuffix(b, stem(b))
	if headA == headB && len(a) != len(b) {
		return len(a) - len(b)
	}
	return strings.Compare(a, b)
}

// builtin returns the built-in profile of that name.
func (p profileSet[T]) builtin(name string) (T, bool) {
	if !slices.Contains(p.names(), name) {
		var none T
		return none, false
	}
	r := &reader{file: name, middleC: C4}
	v, ok := p.read(r, builtinData(p.folder, name))
	if !ok {
		panic("bug in a built-in profile: " + r.faults.Error())
	}
	return v, true
}

// read reads a profile file.
func (p profileSet[T]) read(r *reader, data []byte) (T, bool) {
	var none T
	root := r.parse(data, p.file.what)
	if root == nil {
		return none, false
	}
	v, ok := p.file.read(r, root, "")
	if !ok {
		return none, false
	}
	return v.(T), len(r.faults) == 0
}

// start returns the profile that a map names under the key profile, for its
// other fields to be set on.
func (p profileSet[T]) start(r *reader, n *yaml.Node, at string) (T, bool) {
	var none T
	_, value := lookup(n, "profile")
	if value == nil {
		return p.builtin(p.fallback)
	}
	if value.Kind != yaml.ScalarNode || isNothing(value) {
		return none, false // its shape complains
	}
	if isPath(value.Value) {
		return p.fromFile(r, value, at)
	}
	v, ok := p.builtin(value.Value)
	if !ok {
		r.fault(value, join(at, "profile"), complain("no built-in profile %s, want one of %s, or the path of a profile file",
			quote(value.Value), strings.Join(p.names(), ", ")).
			didYouMean(value.Value, p.names()).orAdvise("a path ends in .yaml"))
	}
	return v, ok
}

// isPath tells paths of profile files from names of built-in profiles.
func isPath(s string) bool {
	return strings.ContainsAny(s, `/\`) || strings.HasSuffix(s, ".yaml") || strings.HasSuffix(s, ".yml")
}

func (p profileSet[T]) fromFile(r *reader, value *yaml.Node, at string) (T, bool) {
	var none T
	file := strings.TrimPrefix(value.Value, "./")
	data, c := r.readFile(file)
	if c != nil {
		r.fault(value, join(at, "profile"), c)
		return none, false
	}
	inner := &reader{
		file: filepath.Join(filepath.Dir(r.file), filepath.FromSlash(file)), middleC: C4,
		given: r.given, prefix: at,
	}
	r.keep(profileFile{file, data})
	v, ok := p.read(inner, data)
	r.faults = append(r.faults, inner.faults...)
	return v, ok
}

// keep adds a profile file, unless it was read before.
func (r *reader) keep(file profileFile) {
	if !slices.ContainsFunc(r.profiles, func(f profileFile) bool { return f.path == file.path }) {
		r.profiles = append(r.profiles, file)
	}
}

// readFile returns what is in a profile file, at most a byte more than is
// allowed.
func (r *reader) readFile(file string) ([]byte, *complaint) {
	switch {
	case strings.Contains(file, `\`) || !fs.ValidPath(file):
		return nil, complain("found %s, want a path within the folder of the rig, without ..", quote(file))
	case r.files == nil:
		return nil, complain("found %s, but a rig that is not read from a file has no profile files", quote(file))
	}
	info, err := fs.Stat(r.files, file)
	if err != nil {
		return nil, complain("%s: %s", quote(file), reason(err))
	}
	if !info.Mode().IsRegular() {
		return nil, complain("%s is no file", quote(file))
	}
	f, err := r.files.Open(file)
	if err != nil {
		return nil, complain("%s: %s", quote(file), reason(err))
	}
	defer f.Close()
	data, err := ReadAtMost(f)
	if err != nil {
		return nil, complain("%s: %s", quote(file), reason(err))
	}
	return data, nil
}
