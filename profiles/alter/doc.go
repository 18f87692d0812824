// Package alter turns what a player does to a rig, a part that listens to another channel or a
// bank more, into edits of the rig file's text. [Do] does some deeds one after the other. The text
// is all there is: comments and every byte that a deed has nothing to do with stay.
//
// What comes out has been read again. It says what was asked, and else what it said before; where the
// text cannot be made to say that, nothing is done, and a [*Refusal] says why and what to do.
package alter
