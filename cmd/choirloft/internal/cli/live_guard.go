package cli

import (
	"context"
	"errors"
	"os"
	"time"

	"choirloft/cmd/choirloft/internal/wire"
)

// guard lets another process hold the outputs, where the system allows it, and
// returns what ends that.
func (l *playLive) guard(ctx context.Context, player *player) (dismiss func()) {
	program, err := os.Executable()
	var guard *wire.Guard
	if err == nil {
		guard, err = wire.NewGuard(program, "choirloft")
	}
	if err != nil {
		player.say("no guard stands by: "+reason(err), "if the program is killed, notes may hang: end it with Ctrl-C")
		return func() {}
	}
	player.guard, player.board = guard, guard.Board()
	go l.stand(ctx, player, guard)
	return guard.Dismiss
}

// leastGuard is how long a guard stands at least; one that is gone sooner is not
// started again.
const leastGuard = time.Second

// stand starts a guard again that is gone.
func (l *playLive) stand(ctx context.Context, player *player, guard *wire.Guard) {
	defer player.rescue()
	for since := time.Now(); ; since = time.Now() {
		select {
		case <-ctx.Done():
			return
		case <-guard.Gone():
		}
		if ctx.Err() != nil {
			return
		}
		err := errors.New("it does not stay")
		if time.Since(since) > leastGuard {
			err = guard.Restart()
		}
		if err != nil {
			player.say("the guard is gone, and none can take its place: "+reason(err), "if the program is killed now, notes may hang: end it with Ctrl-C and start it again")
			return
		}
		player.regain()
		player.say("the guard was gone; another stands by", "")
	}
}
