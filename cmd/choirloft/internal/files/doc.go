// Package files is the one gate through which the program writes files. It is
// a leaf: it knows names and bytes, and nothing of rigs and songs.
//
// Most callers need two calls: [Check] before the work, which refuses what could
// not be written afterwards, and [Commit] after it, which puts all files of a run
// in their places or leaves all as they were. [Spare] is for what is written
// while the work goes on, [Settle] for whoever reads.
//
// # How files are replaced
//
// Links are followed. FIFOs and character devices are written into. A regular
// file is written anew beside the old one, as .choirloft-*.tmp with the old one's
// mode and owner, brought to the disk, and renamed: one file is the old one or the
// new one at any moment. Where a file must not have changed since it was read, its
// bytes are compared before that. Meanwhile its folder is locked, so that two runs
// come one after the other, and the later one finds what the earlier one did. A
// program that knows nothing of the lock is noticed too, but for a change in the
// instant between that comparison and the renaming.
//
// Several files take as many renamings. Before the first of them a journal,
// .choirloft-USER.journal, says what goes where: from then on the run counts as done.
// The old files stay, as .choirloft-*.old, until all is in place. A run that is
// killed before there is a journal has changed nothing; after one that is killed
// later, whoever next writes or reads there finishes what the journal says
// ([Settle]). Where somebody changed a file in between nothing more is touched. A
// renaming that fails is undone with those before it. Other folders that a run
// writes to hold a journal that names the first one.
//
// Whoever writes next sweeps up what a killed run left. A temporary file of a run
// that goes on is locked, and stays. Files of other users are left alone, and no
// journal of theirs is followed.
package files
