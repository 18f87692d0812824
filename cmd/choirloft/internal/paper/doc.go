// Package paper lays out what is printed: documents, such as the sheet of a map to
// tape to the rack, and the reports of songs. [Document], [SVG] and [HTML] write a
// document with its figures; [Drawings] are those of a sheet.
//
// It arranges what is said and computes nothing but places on the page.
// All type is at least 2 mm high where it is read at the rack. Shape and words
// carry what the one accent colour does, so that a sheet in black and white says
// the same. What goes with a heading is set in pieces that are never broken, such as a row
// or a finding, and poured into columns: as many beside each other as its tables leave room
// for. Names that are too long have a number in brackets, and its key on the page.
package paper
