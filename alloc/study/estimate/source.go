package estimate

import _ "embed"

//go:embed doc.go
var source string

// Source is the package comment as it stands in its file, for who explains what is
// written there to people who read no code.
func Source() string { return source }
