// Package whatif plays a song again with a rig that is a little different, and
// says what that saves or costs. Nothing is offered that was not played: every
// figure is that of a replay with the flags that stand beside it.
//
// Most users need two calls: [New], and [Session.List], which tries every remedy
// there is and ranks those that help. [Session.Pairs] goes on with two at once,
// [Session.Vary] changes one thing by steps, and [Session.Drill] takes each voice
// out in turn.
//
// Remedies come in families, such as the releases of one part: of a family the
// mildest that helps as much as any is offered. What makes things worse is
// kept too, so that one can be warned of it.
//
// What is heard of a remedy is heard beside the song as it is given on the rig as it
// is given (see [Ear]): a shorter release, a note that is left out or a smaller unison
// is missed as a loss is. Where anything is heard as things are, ranks put first what
// leaves nothing to hear, then what leaves nothing plain, then what leaves the least, in
// tenths of what is heard now; among those the cheapest kind. Where nothing is, or
// the budget was not enough to listen, they put first what leaves nothing damaged and no
// tail cut audibly, then what damages nothing but legato overlaps, then what makes it
// better, each the cheapest kind and then the best score.
package whatif
