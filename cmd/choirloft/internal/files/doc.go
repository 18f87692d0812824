// Package files is the one gate through which the program writes files. It is
// a leaf: it knows names and bytes, and nothing of rigs and songs.
//
// Most callers need one call: [Spare], before the work, for what is written
// while the work goes on.
package files
