// Package contract has the values that the program prints as JSON, and makes
// them from plans and replays: [NewReplay], [NewSize], [NewMap] and their kin.
// It has facts and no words: package say puts them into sentences and tables,
// for JSON too, and [JSON] encodes them.
//
// Numbers are not rounded and have their unit in their name. What does not
// exist, such as the level of a note that never sounded, is nil and null in
// JSON; no number is ever infinite.
//
// What stays: a key of the JSON keeps its name, its unit and its meaning; keys
// may be added. Sentences in it are for people, and may change. What was encoded
// once can be decoded and encoded again to the same bytes.
package contract
