package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// loadRig reads a rig file.
func (a *app) loadRig(ctx context.Context, path string) (*profiles.Rig, error) {
	file, err := a.openRig(ctx, path)
	if err != nil {
		return nil, err
	}
	return file.Rig, nil
}

// buildPlan reads a rig file and makes the plan of it.
func (a *app) buildPlan(ctx context.Context, path string, o plan.Overrides) (*plan.Plan, error) {
	rig, err := a.loadRig(ctx, path)
	if err != nil {
		return nil, err
	}
	return plan.Build(rig, o)
}

// openRig reads a rig file and keeps its bytes. It says so where something else
// was given.
func (a *app) openRig(ctx context.Context, path string) (*profiles.File, error) {
	if path == standardInput {
		return nil, &usageError{"a rig cannot come from standard input", "only a song can; name the rig file"}
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil, &fileError{path, "this is a folder, want a rig file", ""}
	}
	data, err := a.read(ctx, path, profiles.MaxBytes)
	if err != nil {
		return nil, err
	}
	if looksLikeSong(data) {
		return nil, &fileError{path, "this is a MIDI song, want a rig file", "the rig comes first, songs follow"}
	}
	file, err := profiles.From(path, data)
	var faults profiles.Faults
	if err != nil && !errors.As(err, &faults) {
		return nil, &fileError{path, reason(err), ""}
	}
	return file, err
}

// looksLikeSong tells whether data begins as a MIDI file does, bare or wrapped.
func looksLikeSong(data []byte) bool {
	return bytes.HasPrefix(data, []byte("MThd")) || bytes.HasPrefix(data, []byte("RIFF"))
}

// warn prints the findings that change what becomes of notes. The others are in
// its JSON, and check prints them.
func (a *app) warn(p *plan.Plan) {
	for _, f := range p.Findings {
		if f.Severity == routing.Note || !f.Code.BearsOnNotes() {
			continue
		}
		at := f.Where
		if !f.Pos.IsZero() {
			at = fmt.Sprintf("%s:%d:%d: %s", f.Pos.File, f.Pos.Line, f.Pos.Column, f.Where)
		}
		a.complain(fmt.Sprintf("%s: %s: %s", f.Severity, at, f.Text), f.Hint)
	}
}
