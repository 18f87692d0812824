package alloc_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/midi"
)

// compareFeature draws rigs whose parts all have one feature more, and checks
// that the engine decides what the slow reference decides.
func compareFeature(t *testing.T, change func(t *rapid.T, cfg *alloc.Config, p *alloc.Part)) {
	var c comparison
	rapid.Check(t, func(t *rapid.T) {
		cfg := drawConfig(t)
		for i := range cfg.Parts {
			change(t, &cfg, &cfg.Parts[i])
		}
		p := drawPerformance(t)
		if slices.ContainsFunc(cfg.Parts, func(p alloc.Part) bool { return p.Mode != alloc.Poly }) {
			p.steps = slices.DeleteFunc(p.steps, isSostenuto)
		}
		c.same(t, cfg, p)
	})
	c.done(t)
}

// isSostenuto finds the pedal that is left out of songs for mono parts: whose it
// is when a gate slides from one channel to another is open. The table tests
// have it on one channel.
func isSostenuto(s midi.Step) bool { return s.Kind == midi.StepSostenuto }

func TestReservesLikeTheSlowReference(t *testing.T) { compareFeature(t, drawReserve) }
func TestMonoLikeTheSlowReference(t *testing.T)     { compareFeature(t, drawMono) }
func TestZonesLikeTheSlowReference(t *testing.T)    { compareFeature(t, drawZones) }

func TestUnisonLikeTheSlowReference(t *testing.T) {
	for when, name := range map[alloc.WhenShort]string{alloc.Blocks: "blocks", alloc.Thin: "thin", alloc.Wait: "wait", alloc.Elastic: "elastic"} {
		t.Run(name, func(t *testing.T) {
			compareFeature(t, func(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
				drawUnison(t, cfg, p)
				p.Unison.WhenShort = when
				waitsInRange(p)
			})
		})
	}
}

func TestAllFeaturesLikeTheSlowReference(t *testing.T) {
	compareFeature(t, func(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
		if rapid.Bool().Draw(t, "reserve") {
			drawReserve(t, cfg, p)
		}
		if rapid.Bool().Draw(t, "mono") {
			drawMono(t, cfg, p)
		} else if rapid.Bool().Draw(t, "zones") { // a mono gate that slides over channels has no pedal of its own
			drawZones(t, cfg, p)
		}
		if rapid.Bool().Draw(t, "unison") {
			drawUnison(t, cfg, p)
			if len(p.Zones) > 0 && p.Unison.WhenShort == alloc.Wait {
				p.Unison.WhenShort = alloc.Thin // a zone that goes while a note waits: whose bend counts is open
			}
			waitsInRange(p)
		}
	})
}

func drawReserve(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
	p.Reserve = rapid.IntRange(0, 3).Draw(t, "reserve")
	if rapid.Bool().Draw(t, "limited") {
		p.Limit = p.Reserve + rapid.IntRange(0, 2).Draw(t, "above the reserve")
	}
}

func drawMono(t *rapid.T, _ *alloc.Config, p *alloc.Part) {
	p.Mode = alloc.Mode(rapid.IntRange(0, 3).Draw(t, "mode"))
	p.ReattackPress = rapid.Bool().Draw(t, "re-attack on press")
	p.ReattackReturn = rapid.Bool().Draw(t, "re-attack on return")
	p.Glide = rapid.SampledFrom([]time.Duration{0, 40 * time.Millisecond}).Draw(t, "glide")
}

func drawZones(t *rapid.T, _ *alloc.Config, p *alloc.Part) {
	if rapid.Bool().Draw(t, "channels too") {
		p.Sources = nil
	}
	p.Zones = []alloc.Zone{{AnyPort: rapid.Bool().Draw(t, "zone on any port"), Port: midi.Port(rapid.IntRange(0, 1).Draw(t, "zone's port")),
		Upper: rapid.IntRange(0, 3).Draw(t, "upper") == 0, Members: rapid.IntRange(1, 15).Draw(t, "members")}}
}

// waitsInRange keeps a note that waits from being bent out of the window: why
// it is dropped then is open.
func waitsInRange(p *alloc.Part) {
	if p.Unison.WhenShort == alloc.Wait && p.OutOfRange == alloc.DropNote {
		p.OutOfRange = alloc.Clamp
	}
}

func drawUnison(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
	p.Unison = alloc.Unison{
		Voices:    rapid.IntRange(1, min(4, len(cfg.Voices))).Draw(t, "unison"),
		WhenShort: alloc.WhenShort(rapid.IntRange(0, 3).Draw(t, "when short")),
		Regrow:    rapid.Bool().Draw(t, "regrow"),
		Detune:    []float64{-6, -4, 2, 6}[:rapid.IntRange(0, 4).Draw(t, "detunes")],
	}
	if rapid.Bool().Draw(t, "detune by voice") {
		for i := range cfg.Voices {
			p.Unison.ByVoice = append(p.Unison.ByVoice, float64(i)-2.5)
		}
	}
}
