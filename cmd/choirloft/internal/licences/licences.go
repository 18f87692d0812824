// Package licences holds the notices that go with the program: the licences of
// the Go standard library, of every module that any build of choirloft links, and
// of the fonts in it. The text is generated, see cmd/licences. Its one call is
// [Text].
package licences

import _ "embed"

//go:generate go run choirloft/cmd/licences -o licences.txt

//go:embed licences.txt
var text string

// Text returns the list of what is linked, with the kinds of the licences as
// SPDX names them, and behind it the licences in full.
func Text() string { return text }
