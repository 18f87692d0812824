package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
)

// noticeFile tells whether a file must go along with what it lies beside.
func noticeFile(name string) bool {
	return licenceFile(name) || strings.HasPrefix(strings.ToUpper(name), "NOTICE") || strings.HasPrefix(strings.ToUpper(name), "PATENTS")
}

func licenceFile(name string) bool {
	name = strings.ToUpper(name)
	return slices.ContainsFunc([]string{"LICENSE", "LICENCE", "COPYING"}, func(s string) bool { return strings.HasPrefix(name, s) })
}

// kinds are the licences by words that each has, and the others lack. The names
// are those of the SPDX licence list; of those with two rows one is for the
// licence in full and one for a file that refers to it.
var kinds = []struct{ name, says, lacks string }{
	{"Apache-2.0", "Version 2.0, January 2004 http://www.apache.org/licenses/", ""},
	{"Apache-2.0", "http://www.apache.org/licenses/LICENSE-2.0", ""},
	{"BSD-2-Clause", "Redistribution and use in source and binary forms", thirdClause},
	{"BSD-3-Clause", thirdClause, ""},
	{"Bitstream-Vera", "the fonts accompanying this license", ""},
	{"MIT", "to any person obtaining a copy of this software", ""},
	{"OFL-1.1", "SIL OPEN FONT LICENSE Version 1.1", ""},
}

// thirdClause is of the third clause of the BSD licence.
const thirdClause = "be used to endorse or promote products derived from this software"

// fontKinds are the licences that are for fonts alone.
var fontKinds = []string{"Bitstream-Vera", "OFL-1.1"}

// kindOf names the licences that a text holds, with commas between them.
func kindOf(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	var found []string
	for _, k := range kinds {
		if strings.Contains(text, k.says) && (k.lacks == "" || !strings.Contains(text, k.lacks)) {
			found = append(found, k.name)
		}
	}
	return strings.Join(slices.Compact(found), ", ")
}

// fontFile tells whether a file is a font.
func fontFile(name string) bool {
	return slices.Contains([]string{".ttf", ".otf", ".woff", ".woff2"}, strings.ToLower(filepath.Ext(name)))
}

// fontOf is a font that a module brings along, with the licence for fonts that
// stands in it.
func fontOf(file string, works []work, module string) (work, error) {
	i := slices.IndexFunc(works, func(w work) bool { return w.name == module })
	for _, n := range works[i].notices {
		if slices.Contains(fontKinds, n.kind) {
			return work{"font " + file, []notice{{kind: n.kind, name: n.name + " of " + module}}}, nil
		}
	}
	return work{}, fmt.Errorf("%s: found no licence for the font %s", module, file)
}

// tidy leaves out carriage returns and spaces at the ends of lines.
func tidy(text string) string {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " \t\f")
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n")
}

// text lists the works with the kinds of their licences, and then has the
// licences in full.
func text(works []work) string {
	var b strings.Builder
	b.WriteString("choirloft is linked with what is listed here, in a build for one system or\n" +
		"another. The names of licences are those of the SPDX licence list; the texts\n" +
		"follow in the same order.\n\n")
	for _, w := range works {
		var names []string
		for _, n := range w.notices {
			for _, kind := range strings.Split(n.kind, ", ") {
				if kind != "" && !slices.Contains(names, kind) {
					names = append(names, kind)
				}
			}
		}
		fmt.Fprintf(&b, "  %-44s  %s\n", w.name, strings.Join(names, ", "))
	}
	for _, w := range works {
		for _, n := range w.notices {
			if n.text != "" {
				fmt.Fprintf(&b, "\n\n==== %s: %s ====\n\n%s\n", w.name, n.name, n.text)
			}
		}
	}
	return b.String()
}
