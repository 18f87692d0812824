// Package patchlist reads the table that people keep of a rack in a spreadsheet, a
// row a voice or a row a jack, and makes a rig of it. [Read] takes the bytes of a CSV
// file and gives the [List] of what stands where; [List.Rig] writes the rig, with pins
// where jacks are out of order. What choirloft map writes as CSV is read back to the
// same map.
//
// # What is read
//
// Cells are set apart by commas, semicolons or tabs, with or without quotes (RFC
// 4180), in UTF-8 or UTF-16, with or without a byte order mark. Heads stand in one of
// the first rows, in any order, and are matched loosely; [List.Heads] says how. A row
// a voice has a jack for its pitch and one for its gate; a row a jack has a jack, its
// kind and the input that it feeds. An empty bank is that of the row above. A jack in
// two rows is an output with a passive multiple behind it.
//
// What cannot be read is left out, and is a [Cell] with its row and column, as a
// spreadsheet counts them.
//
// # What a table cannot carry
//
// Parts and what they listen to, kinds of voice and all that is measured of them,
// modules between jack and input, ranges of volts beyond the keys that are listed,
// corrections, supplies, rows and set-ups.
package patchlist
