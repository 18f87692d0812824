// Package pattern makes regular expressions that are compiled when they are first used. The
// program has some fifty, of which a run uses few: to compile them all took a fifth of its start.
package pattern

import (
	"regexp"
	"sync"
)

// Of returns what compiles a pattern once, in the syntax of [regexp/syntax]. One that is
// faulty panics at its first use.
func Of(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}
