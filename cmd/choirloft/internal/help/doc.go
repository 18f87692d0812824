// Package help has what the program says about itself: the topics, which are texts
// in topics/ and what is made of the tables and comments of other packages, and
// the keys of a rig file. It lays them out for a width, and prints nothing.
//
// Most callers need [Topics] and [Layout]; [Key] explains a key of the rig file.
//
// # The texts
//
// A text is lines of at most 100 characters. A line that is empty ends a paragraph.
// Lines that begin with
//
//   - are items of a list
//     two spaces, a name and two spaces more  are a name with its meaning
//     four spaces, behind an empty line       are kept as they are: examples
//     a tab   are lines of a grammar: a key, its meaning, and its default behind =
//
// Lines that are indented further go on with an item. A line of {what} stands for
// what is made: {rules}, {results}, or a section of a package comment, as in
// {profiles: Values}. Tests run every example: commands, rigs and readings.
package help
