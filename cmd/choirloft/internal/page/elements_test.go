package page

import (
	"context"
	"fmt"
	"time"

	"github.com/chromedp/chromedp"
)

// until, visible, hidden, focus and click find their elements in the page itself, each time anew. What chromedp offers
// for it keeps a tree of nodes of its own, and on a busy machine waits without end for one that was replaced meanwhile.
func until(expression string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		ctx, stop := context.WithTimeout(ctx, time.Minute)
		defer stop()
		if _, err := chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(0))(ctx, t); err != nil {
			return fmt.Errorf("%s: %w", expression, err)
		}
		return nil
	})
}

// seen is whether a selector finds something that can be seen.
const seen = `document.querySelector(%q)?.checkVisibility({ visibilityProperty: true }) === true`

func visible(selector string) chromedp.Action[chromedp.Void] {
	return until(fmt.Sprintf(seen, selector))
}

func hidden(selector string) chromedp.Action[chromedp.Void] {
	return until("!(" + fmt.Sprintf(seen, selector) + ")")
}

func focus(selector string) chromedp.Action[chromedp.Void] {
	return until(fmt.Sprintf(`(() => { const e = document.querySelector(%q); e?.focus(); return e !== null && document.activeElement === e; })()`, selector))
}

// still is the middle of an element that a selector finds, scrolled to by a method, once it stays where it is from one
// frame to the next and nothing lies over it: what is pressed there is that element.
func still(selector, scroll string) chromedp.Action[[]float64] {
	return func(ctx context.Context, t *chromedp.Target) ([]float64, error) {
		ctx, stop := context.WithTimeout(ctx, time.Minute)
		defer stop()
		at, err := chromedp.Evaluate[[]float64](fmt.Sprintf(`(async () => {
			for (let last = ""; ;) {
				const e = document.querySelector(%q);
				e?.%s;
				const r = e?.getBoundingClientRect();
				const at = r && r.width && r.height ? [r.x + r.width / 2, r.y + r.height / 2] : [];
				if (at.length && String(at) === last && e.contains(document.elementFromPoint(...at))) return at;
				last = String(at);
				await new Promise(requestAnimationFrame);
			}
		})()`, selector, scroll), chromedp.EvalAwaitPromise)(ctx, t)
		if err != nil {
			return nil, fmt.Errorf("%s stays nowhere: %w", selector, err)
		}
		return at, nil
	}
}

// click presses the mouse on the middle of an element.
func click(selector string, options ...chromedp.MouseOption) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := visible(selector)(ctx, t); err != nil {
			return err
		}
		at, err := still(selector, "scrollIntoViewIfNeeded()")(ctx, t)
		if err != nil {
			return err
		}
		_, err = chromedp.MouseClickXY(at[0], at[1], options...)(ctx, t)
		return err
	})
}
