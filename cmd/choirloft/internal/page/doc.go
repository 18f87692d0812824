// Package page is the program in a browser on the same machine: a rack, a song
// and the paper as three views of one plan. It serves its own assets, which are
// embedded and need nothing from elsewhere, and a small API that speaks the
// command's own JSON.
//
// Most users need two calls: [NewDesk] and [New], which makes a handler of it.
//
// # The API
//
// GET answers what is on the desk; every change is a POST, which a browser may
// send from this page alone. Bodies and answers are JSON unless said. Errors are
// {"error": …, "hint": …} with a status of 400, 403, 404, 408, 409, 412, 413, 422 or 503.
//
//	GET  /api/desk            the rig as it stands, its faults, the songs, the rules and what each does, and
//	                          what the words mean that stand in cells of tables
//	GET  /api/events          server-sent events, each the edition of the desk: the first at once, then one
//	                          for each change of what desk answers, and of the file on disk
//	POST /api/rig             {"text": …}: the rig's text is changed on the desk; answers like desk. With "tab" and
//	                          "edit", a name and the number of the edit there, one that comes late is left out.
//	                          With "tab" and "from", the edition that it goes by, it is refused where another
//	                          tab has changed the text since (412); keep and save take both too
//	POST /api/keep            {"set": […]}: overrides are written into the text on the desk, as far as
//	                          a rig can say them; answers {"desk": …, "set": what is left, "says": …}. With "top" that
//	                          too, and with "bought": true the banks that it buys
//	POST /api/alter           {"deeds": […], "tab", "from"}: what a player does to the rig, such as {"do": "channel", "part": "pad",
//	                          "channel": 3}, is edited into the text on the desk: all of them or none. Deeds are those of
//	                          [choirloft/profiles/alter.Deed]. Answers like desk; where the text cannot be made to say that, 422
//	POST /api/bench           {"song": id or nothing, "set": […]}: the channels of the song, the parts and what they want, the banks, the
//	                          interfaces and what can be chosen, each in words; "fixes" are deeds
//	POST /api/save            the text is written to the rig file, unless that has changed underneath (409). With "name", it is written to
//	                          a file of that name in the rig's folder, or in that where serve was started, which must not be
//	                          there yet (409); that is the rig's file from then on. A rig without a file wants a name
//	POST /api/disk            {"text": what the file has now, "lines": how that and the text on the desk differ}.
//	                          With "mine", the text of a tab, it is the text on the desk, and how that differs
//	POST /api/settle          {"keep": "mine", "theirs" or "both", "seen": the text of disk}: ends such a conflict,
//	                          unless the file has changed again (409); "both" has lines from disk as comments.
//	                          With "mine" and "tab", that of a tab with the text on the desk (412)
//	POST /api/reload          the text is read anew from the file
//	POST /api/song?name=…     the body is a MIDI file: it is put on the desk. Where the rig has no file, and nobody has changed it, the
//	                          first song proposes one: "proposes" then says so, and "unproposed" why none could be
//	POST /api/remove          {"song": id}: it is taken off the desk
//	POST /api/map             {"set": […]}: what `map --json` prints, "faces": the banks and voices in words, "states": what the text says of each voice,
//	                          "now": how the parts play, and the command that plays so, "doc"
//	POST /api/plug            {"ticked": [{"cable": …, "from": …, "to": …}], "before": the code of the plan that they were ticked
//	                          by}: what is plugged where, by the rig's text: cables, and of each set-up the rack and its jacks;
//	                          "carried": of what was ticked, what still joins the same ends, and what does not
//	POST /api/play            {"song": id, "set": […]}: {"replay": what `replay --json` prints, "lanes": …, "marks": how
//	                          each loss is marked (plain, faint, unheard, unweighed), "doc": …}
//	POST /api/picture         {"song": id, "set": […], "part": of which, "loss": the kind that is listed}: the same for the page
//	                          itself, notes in columns of whole numbers beside a head of JSON: see pictureView in picture.go
//	                          With "soon" it is given without what is heard where that takes longer than a blink: "listening"
//	                          then says so, and the same question without "soon" waits for it
//	POST /api/shown           the same question: what the part wants and which losses were chosen alone
//	POST /api/loss            {"song": id, "set": […], "place": of a loss}: {"doc": its row}
//	POST /api/listen          {"song": id, "set": […], "version": asked, played or missing, "at_s": …}: six seconds of it as a
//	                          sound file, as the command listen makes them; X-From-S says where in the song they begin
//	POST /api/unison          {"set": […], "part": …, "voices": …, "width": cents, "law": …, "narrow": true}: the unison of a part as it
//	                          would be, on no desk, what is not said being as it is: {"set": what is drawn, "rig": what the text says,
//	                          "top": what tries its number of voices, "keys", "doc", "figures"}
//	POST /api/held            the same, with "key": 0, 1 or 2 of those keys: that stack held for six seconds, as a sound file
//	POST /api/set             {"set": […], "top": […], "voices": …, "part": …}: {"set": what is set once top is put on it, and, from 1,
//	                          so many voices are in service, or a part may hold them: more than there are are bought, in whole banks}
//	POST /api/axis            {"song": id, "set": […], "part": …}: {"axis": what numbers of voices cost a part by itself}
//	POST /api/size            {"song": id, "set": […]}: what `size --json` prints, without remedies, "doc"
//	POST /api/fixes           the same, with "pairs": seconds to look for pairs; answers a line of JSON for
//	                          each step, {"done": …, "all": …, "what": …}, and at last {"size": …, "doc": …, "ways": of each fix
//	                          whether it can be tried, and written into the rig, or why not}. It stops
//	                          where the request is broken off; "keep": a POST to /api/stop keeps what there is.
//	POST /api/stop            ends a search for pairs and keeps the best so far
//	POST /api/compare         {"set": […]}: what `size --json` prints of all songs on the desk, "doc"
//	POST /api/sheets          {"set": […], "paper": "a4" or "letter"}: {"pages": […]}, the patch sheet as SVG
//	POST /api/setups          {"song": id if there is one, "set": […]}: what `repatch --list --json` prints, "ways": what is set
//	                          where a set-up is shown, "doc"
//	POST /api/repatch         {"from": …, "to": …}: what `repatch --json` prints of the way between two set-ups, "doc"
//	POST /api/outage          {"voice": that fails, "song": id if there is one, "set": […]}: what `map --without --json` prints, "doc"
//	POST /api/take            {"short": …, "through": …}: what `write --take --json` prints, "doc"; with "file": true the take itself
//	POST /api/readings        {"name": …, "text": of a table or list, "through": …, "turned": …, "instead": …}: {"tune": what `tune --json`
//	                          prints, "writes": whether the text would change, "command", "doc"}. With "write", the values go into the text on
//	                          the desk, which is in "desk"; with "tab" and "from" as in rig
//	POST /api/played?name=…   the body is the MIDI file of a take that was played: {"id", "name", "says"}
//	POST /api/recording?take=…&name=…  the body is its recording, a WAV file of at most 512 MiB: the same once it is read
//	POST /api/took            {"id": …, "song": id if there is one, "date": …, "turned": …, "instead": …}: {"took": what `tune --take --json`
//	                          prints, …}, the rest as in readings
//	POST /api/file            {"kind": "map.csv", "song": id, "set": […], "paper": …}: a file, as the command writes it
//
// A "doc" is what the command says of the values beside it, word for word as it writes it to a
// file: {"title": …, "plan": …, "blocks": […]}, each block with its kind, as in
// [choirloft/cmd/choirloft/internal/doc.Doc]. A row of a table that is about one of the values
// says which: "loss 3" is the fourth of the losses, "fix 0" the first of the fixes, "song 0" the
// first of the songs, "voice K1" the voice and "set-up stage" the set-up of that name. The drawings that stand in it are in
// "figures" beside it, as SVG by name, except for "lanes", which the page draws itself from the
// lanes.
//
// Set are overrides as values, as in {"kind": "pick", "part": "pad", "value": "nearest"}; the
// fixes of a size have theirs so, and keep answers so. "flags" may stand beside it, or in
// place of it: overrides as they are typed, a flag and its value in turn.
//
// Large answers come compressed (gzip) where that is accepted.
//
// # Safety
//
// Whatever the address, a request must name the host it was served under, or the
// very address that it came to. Where others can ask, all but this machine must show a token: /TOKEN/
// before the path, which leaves it in a cookie that no script reads and no other site has sent. And the API answers requests of the page itself
// alone. At most 16 pages hear of changes at once. Bodies must go on coming: something every 10 s, all within 2 minutes (else
// 408). Those that are being answered hold at most 128 MiB together; a request above
// that is refused (503). No name that a browser sends
// opens a file: songs come as bytes, and profile files are looked for in the rig's
// folder, which no link leaves. The rig file is written by save alone, and another one only where there was none, in the folder of the first.
package page
