package files

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// A run writes into two folders: over what is there, and what is not there yet.
var (
	before = map[string]string{"one/a": "old a", "one/b": "old b", "two/a": "old a"}
	after  = map[string]string{"one/a": "new a", "one/b": "new b", "one/c": "new c", "two/a": "new a", "two/c": "new c"}
)

// runs are the files of a run, and what stands there before it and after it.
var runs = []struct {
	name          string
	before, after map[string]string
}{
	{"one file", map[string]string{"one/a": "old a"}, map[string]string{"one/a": "new a"}},
	{"one new file", map[string]string{}, map[string]string{"one/a": "new a"}},
	{"files of a folder", map[string]string{"one/a": "old a", "one/b": "old b"}, map[string]string{"one/a": "new a", "one/b": "new b", "one/c": "new c"}},
	{"files of two folders", before, after},
}

// lay makes two folders with these files.
func lay(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := quick(t)
	for _, name := range []string{"one", "two"} {
		require.NoError(t, os.Mkdir(filepath.Join(dir, name), 0o777))
	}
	for name, text := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666))
	}
	return dir
}

// quick is a folder in memory, where there is one: bringing thousands of files
// to a disk takes a minute.
func quick(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "choirloft")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(dir)) })
	return dir
}

// found is all that is in the two folders.
func found(t *testing.T, dir string) map[string]string {
	t.Helper()
	got := map[string]string{}
	for _, name := range []string{"one", "two"} {
		all, err := os.ReadDir(filepath.Join(dir, name))
		require.NoError(t, err)
		for _, entry := range all {
			data, err := os.ReadFile(filepath.Join(dir, name, entry.Name()))
			require.NoError(t, err)
			got[name+"/"+entry.Name()] = string(data)
		}
	}
	return got
}

func outsOf(dir string, files map[string]string) (list []Out) {
	for _, name := range slices.Sorted(maps.Keys(files)) {
		list = append(list, Out{Name: filepath.Join(dir, name), Data: []byte(files[name])})
	}
	return list
}

// plain leaves out what a run has beside its files.
func plain(files map[string]string) map[string]string {
	files = maps.Clone(files)
	maps.DeleteFunc(files, func(name, _ string) bool { return strings.Contains(name, "/.choirloft") })
	return files
}

var errInjected = errors.New("injected")

// linkless makes hard links fail, as on disks that have none.
func linkless(without bool, call string) error {
	if without && call == "link" {
		return errors.ErrUnsupported
	}
	return nil
}

// Every system call of a run fails in turn. Then all files are the old ones and
// the run says so; or, where it failed in cleaning up, all are the new ones. What
// is left beside them goes with the next run.
func TestEveryCallFails(t *testing.T) {
	for _, c := range runs {
		for _, without := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, hard links %v", c.name, !without), func(t *testing.T) {
				counts := map[string]int{}
				for n, failed := 1, true; failed; n++ {
					failed = false
					dir, calls, which := lay(t, c.before), 0, ""
					d := disk{before: func(call, path string) error {
						if calls++; calls == n {
							failed, which = true, call
							return errInjected
						}
						return linkless(without, call)
					}}
					_, err := d.commit(t.Context(), outsOf(dir, c.after))
					got := found(t, dir)
					where := fmt.Sprintf("call %d, %s", n, which)
					switch {
					case err == nil:
						require.Equal(t, c.after, plain(got), where)
					case strings.Contains(err.Error(), "it is written, but the disk has not confirmed it"):
						require.Equal(t, c.after, plain(got), where)
					default:
						require.ErrorContains(t, err, "injected", where)
						require.Equal(t, c.before, plain(got), where)
					}
					if which != "remove" {
						require.Equal(t, plain(got), got, "%s: nothing is left", where)
					}
					if failed {
						counts[which]++
					}
					want := plain(got)
					_, err = Commit(t.Context(), outsOf(dir, map[string]string{"one/z": "next", "two/z": "next"})...)
					require.NoError(t, err, where)
					want["one/z"], want["two/z"] = "next", "next"
					require.Equal(t, want, found(t, dir), "%s: nothing is left by the next run", where)
				}
				t.Logf("failed: %v", counts)
				for _, call := range []string{"open", "write", "sync", "rename", "stat", "lock", "access", "sync folder", "list"} {
					require.NotZero(t, counts[call], call)
				}
			})
		}
	}
}

// From some system call on nothing happens any more, as after kill -9; that call
// is each in turn. Whoever reads or writes there next finds all files old or all
// new, and leaves nothing else.
func TestKilledAtEveryCall(t *testing.T) {
	for _, c := range runs {
		for _, without := range []bool{false, true} {
			for _, next := range []string{"one", "two"} {
				if next == "two" && len(c.after) < len(after) {
					continue // it writes nothing there
				}
				t.Run(fmt.Sprintf("%s, hard links %v, then %s", c.name, !without, next), func(t *testing.T) {
					kills, mixed, fresh := 0, 0, 0
					for n, dead := 1, true; dead; n += corpora.Some(3, 1) {
						dead = false
						dir, calls := lay(t, c.before), 0
						d := disk{before: func(call, path string) error {
							if calls++; calls >= n {
								dead = true
								return errInjected
							}
							return linkless(without, call)
						}}
						d.commit(t.Context(), outsOf(dir, c.after))
						if dead {
							kills++
						}
						if got := plain(found(t, dir)); !maps.Equal(got, c.before) && !maps.Equal(got, c.after) {
							mixed++
						}
						said, err := Settle(t.Context(), filepath.Join(dir, next, "a"))
						require.NoError(t, err)
						require.LessOrEqual(t, len(said), 1)
						want := plain(found(t, dir))
						require.True(t, maps.Equal(want, c.before) || maps.Equal(want, c.after), "call %d: %v, %v", n, want, said)
						if maps.Equal(want, c.after) {
							fresh++
						}
						_, err = Commit(t.Context(), outsOf(dir, map[string]string{"one/z": "next", "two/z": "next"})...)
						require.NoError(t, err)
						want["one/z"], want["two/z"] = "next", "next"
						require.Equal(t, want, found(t, dir), "call %d: nothing is left", n)
					}
					t.Logf("killed %d times; %d left old and new ones until they were mended; then %d were all new", kills, mixed, fresh)
				})
			}
		}
	}
}

// A run that was killed is mended by one that is killed too, at every call; without
// CHOIRLOFT_CORPORA at every third.
func TestKilledWhileMending(t *testing.T) {
	corpora.Patient(t)
	kills := 0
	for n, dead := 1, true; dead; n++ {
		every := corpora.Some(3, 1)
		for m, again := 1+n%every, true; again; m += every {
			dead, again = false, false
			dir, calls := lay(t, before), 0
			killed := func(at int, flag *bool) disk {
				calls = 0
				return disk{before: func(string, string) error {
					if calls++; calls >= at {
						*flag = true
						return errInjected
					}
					return nil
				}}
			}
			killed(n, &dead).commit(t.Context(), outsOf(dir, after))
			killed(m, &again).recover(t.Context(), filepath.Join(dir, "two"))
			kills++
			_, err := Commit(t.Context(), outsOf(dir, map[string]string{"one/z": "next", "two/z": "next"})...)
			require.NoError(t, err)
			got := found(t, dir)
			delete(got, "one/z")
			delete(got, "two/z")
			require.True(t, maps.Equal(got, before) || maps.Equal(got, after), "calls %d, %d: %v", n, m, got)
		}
	}
	t.Logf("killed twice %d times", kills)
}

// A call fails in the middle of a run, and while that is undone the run is killed,
// at every call.
func TestKilledWhileUndoing(t *testing.T) {
	corpora.Patient(t)
	kills := 0
	for n, failed := 1, true; failed; n++ {
		for more, dead := 1, true; dead; more++ {
			failed, dead = false, false
			dir, calls, skip := lay(t, before), 0, false
			d := disk{before: func(call, path string) error {
				switch calls++; {
				case calls == n:
					failed, skip = true, call != "rename" && call != "sync folder"
					if !skip {
						return errInjected
					}
				case calls >= n+more && !skip:
					dead = true
					return errInjected
				}
				return nil
			}}
			d.commit(t.Context(), outsOf(dir, after))
			if skip {
				break
			}
			kills++
			said, err := Settle(t.Context(), filepath.Join(dir, "two", "a"))
			require.NoError(t, err)
			got := plain(found(t, dir))
			require.True(t, maps.Equal(got, before) || maps.Equal(got, after), "calls %d and %d: %v, %v", n, n+more, got, said)
			_, err = Commit(t.Context(), outsOf(dir, map[string]string{"one/z": "next", "two/z": "next"})...)
			require.NoError(t, err)
			got["one/z"], got["two/z"] = "next", "next"
			require.Equal(t, got, found(t, dir), "calls %d and %d: nothing is left", n, n+more)
		}
	}
	t.Logf("killed %d times", kills)
}

// What somebody else changed between a kill and the next run stays as it is.
func TestMendLeavesWhatWasChanged(t *testing.T) {
	for _, name := range []string{"one/a", "one/c", "two/a"} {
		dir := lay(t, before)
		renames := 0
		d := disk{before: func(call, path string) error {
			if call == "rename" {
				renames++
			}
			if renames >= 6 { // two journals, three of the five files
				return errInjected
			}
			return nil
		}}
		d.commit(t.Context(), outsOf(dir, after))
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("mine"), 0o666))
		said, err := Settle(t.Context(), filepath.Join(dir, "two", "a"))
		require.NoError(t, err)
		require.Len(t, said, 1)
		require.Contains(t, said[0], filepath.Join(dir, name)+" was changed since, so nothing more was touched")
		require.Equal(t, "mine", found(t, dir)[name])
		said, err = Settle(t.Context(), filepath.Join(dir, "one", "a"))
		require.NoError(t, err)
		require.Empty(t, said)
	}
}

// A journal that cannot be read stops whoever would write there, and says where.
func TestBadJournal(t *testing.T) {
	for _, text := range []string{"", "{", `{"version": 2}`, `{"version": 1}`} {
		dir := folder(t, map[string]string{journalName: text})
		_, err := Commit(t.Context(), outs(dir, "a", "new")...)
		require.ErrorContains(t, err, "an earlier run was cut off, and what it left cannot be read")
		holds(t, dir, map[string]string{journalName: text})
	}
}
