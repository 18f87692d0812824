// Package contract turns a plan and its replays into what is printed: the
// structures of the JSON contract, and the sentences and the order of the
// other views. Whatever is rounded, given a unit, counted from 1 or put into
// words is so here; views only lay it out.
//
// Numbers in the structures are not rounded and have their unit in their name.
// What does not exist, such as the level of a note that never sounded, is nil
// and null in JSON; no number is ever infinite.
//
// What stays: a key of the JSON keeps its name, its unit and its meaning; keys may
// be added. Sentences in it are for people, and may change.
package contract
