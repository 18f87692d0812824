package cli

import (
	"fmt"

	"github.com/spf13/cobra"
)

// What is done without --yes, by estimates that are made before the work. A file
// of control voltages of 4 GB is 12 minutes of 40 channels, and about where RIFF ends;
// 500 pages are a ream; more files than 256 nobody wants in a folder by mistake.
// The limit of recordings is [study.MostPasses].
const (
	mostCVBytes = 4_000_000_000
	mostFiles   = 256
	mostPages   = 500
)

// limits are lifted by a flag.
type limits struct{ yes bool }

func (l *limits) flags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&l.yes, "yes", false, "lift the limits on how much is written")
}

// check refuses more than most, where that is not lifted. Where, found and want
// word one sentence.
func (l *limits) check(amount, most int64, where, found, want string) error {
	if amount <= most || l.yes {
		return nil
	}
	return &usageError{fmt.Sprintf("%s: found %s, want at most %s", where, found, want), "--yes lifts the limit"}
}

// bytesText is an amount of bytes with the unit that fits it.
func bytesText(n int64) string {
	size, units := float64(n), []string{"bytes", "kB", "MB", "GB", "TB", "PB", "EB"}
	at := 0
	for ; size >= 1000 && at < len(units)-1; at++ {
		size /= 1000
	}
	if at == 0 {
		return fmt.Sprintf("%d bytes", n)
	}
	return fmt.Sprintf("%.1f %s", size, units[at])
}
