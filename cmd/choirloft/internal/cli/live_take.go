package cli

import (
	"context"

	"choirloft/midi"
	"choirloft/routing/plan"
	"choirloft/routing/take"
)

// readTake reads a take of a plan: the plan by which each voice plays its own notes of it,
// and these as a song.
func (l *playLive) readTake(ctx context.Context, p *plan.Plan) (*plan.Plan, *midi.Song, error) {
	song, err := l.readSong(ctx, l.take, 0)
	if err != nil {
		return nil, nil, err
	}
	played, err := take.Read(p, song)
	if err != nil {
		return nil, nil, within(l.take, err)
	}
	by, notes := played.Song()
	return by, notes, nil
}

// portsIn is on how many ports a song comes in.
func portsIn(song *midi.Song) int {
	most := midi.Port(0)
	for i := range song.Events {
		most = max(most, song.Events[i].Port)
	}
	return int(most) + 1
}

// playThrough plays a song in real time, until it or the context ends.
func playThrough(ctx context.Context, p *player, song *midi.Song) {
	began := p.clock()
	for i := range song.Events {
		e := &song.Events[i]
		pause(ctx, began+song.Tempo.At(e.Tick)-p.clock())
		if ctx.Err() != nil {
			return
		}
		p.receive(int(e.Port), []byte{e.Status, e.Data1, e.Data2})
	}
	pause(ctx, began+song.Duration()-p.clock())
}
