// Package whatif plays a song again with a rig that is a little different, and
// says what that saves or costs. Nothing is offered that was not played: every
// figure is that of a replay with the flags that stand beside it.
//
// Most users need two calls: [New], and [Session.Try], which plays the song with other
// overrides and listens. [Session.Vary] changes one thing by steps, [Session.Drill] takes
// each voice out in turn, [Session.Recording] splits the song into recordings. Package
// advise searches with it.
//
// What is heard is heard beside the song as it is given on the rig as it
// is given (see [Ear]): a shorter release, a note that is left out or a smaller unison
// is missed as a loss is.
package whatif
