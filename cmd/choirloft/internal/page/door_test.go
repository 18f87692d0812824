package page

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

const token = "K7Q2WX5DPLM3ZT6RHN4VBC8YSA"

// knock asks a door of 192.0.2.7 (RFC 5737) and of studio.local, with a token.
func knock(from, host, path string, cookies ...string) *http.Response {
	door := Door{Hosts: Hosts(&net.TCPAddr{IP: net.IPv4zero, Port: 4870}, "Studio.local"), Token: token}
	r := httptest.NewRequest("GET", "/", nil)
	r.URL.Path, r.Host, r.RemoteAddr = path, host, from
	local := &net.TCPAddr{IP: net.ParseIP("192.0.2.7"), Port: 4870}
	if strings.HasPrefix(from, "127.") {
		local.IP = net.IPv4(127, 0, 0, 1)
	}
	for _, c := range cookies {
		r.Header.Add("Cookie", c)
	}
	w := httptest.NewRecorder()
	door.guard(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { w.Write([]byte("in " + r.URL.Path)) })).
		ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, net.Addr(local))))
	return w.Result()
}

// Others show the token, in the path or in the cookie that it leaves; this machine need not, if it
// asks for itself. A name that is no name of the page's is refused, token or none.
func TestDoor(t *testing.T) {
	const far, near = "198.51.100.9:50000", "127.0.0.1:50000"
	for _, c := range []struct {
		from, host, path, cookie string
		want                     int
	}{
		{near, "localhost:4870", "/api/desk", "", 200},
		{near, "127.0.0.1:4870", "/", "", 200},
		{near, "[::1]:4870", "/", "", 200},
		{near, "studio.local:4870", "/", "", 403}, // a tunnel or a proxy, on behalf of others
		{near, "studio.local:4870", "/" + token + "/", "", 200},
		{far, "localhost:4870", "/", "", 403}, // says so, but comes from elsewhere
		{far, "127.0.0.1:4870", "/api/desk", "", 403},
		{far, "192.0.2.7:4870", "/", "", 403},
		{far, "192.0.2.7:4870", "/" + token, "", 200},
		{far, "192.0.2.7:4870", "/" + token + "/api/desk", "", 200},
		{far, "STUDIO.local:4870", "/" + token + "/api/desk", "", 200},
		{far, "studio.local:4870", "/api/desk", "choirloft-4870=" + token, 200},
		{far, "studio.local:4870", "/api/desk", "choirloft-4870=x; choirloft-4870=" + token, 200},
		{far, "studio.local:4870", "/api/desk", "choirloft-4871=" + token, 403}, // of another page
		{far, "studio.local:4870", "/api/desk", "choirloft-4870=", 403},
		{far, "studio.local:4870", "/api/desk", "choirloft-4870=" + token[1:], 403},
		{far, "studio.local:4870", "/" + strings.ToLower(token) + "/", "", 403},
		{far, "studio.local:4870", "/" + token[:25] + "/", "", 403},
		{far, "studio.local:4870", "/" + token + "A/", "", 403},
		{far, "studio.local:4870", "//" + token + "/", "", 403},
		{far, "studio.local:4870", "/x/../" + token + "/", "", 403},
		{far, "studio.local:4870", "/api/desk/" + token, "", 403},
		{far, "studio.local", "/" + token + "/", "", 421}, // a browser says the port, unless it is 80
		{far, "studio.local:4871", "/" + token + "/", "", 421},
		{far, "studio.local.:4870", "/" + token + "/", "", 421},
		{far, "studio.local:4870.rig.example", "/" + token + "/", "", 421},
		{far, "rig.example@studio.local:4870", "/" + token + "/", "", 421},
		{far, "rig.example:4870", "/" + token + "/", "choirloft-4870=" + token, 421},
		{far, "192.0.2.8:4870", "/" + token + "/", "", 421},
		{near, "localhost.rig.example:4870", "/", "", 421},
		{near, "", "/", "", 421},
		{near, strings.Repeat("x", 5000) + "\r\nX: y", "/", "", 421},
	} {
		answer := knock(c.from, c.host, c.path, c.cookie)
		require.Equal(t, c.want, answer.StatusCode, "%+v", c)
		said := make([]byte, 500)
		n, _ := answer.Body.Read(said)
		require.Equal(t, c.want == 200, strings.HasPrefix(string(said[:n]), "in /"), "%+v", c)
		require.NotContains(t, string(said[:n]), token)
		require.NotEmpty(t, answer.Header.Get("Content-Security-Policy"))
		if c.want == 200 && strings.HasPrefix(c.path, "/"+token) {
			require.Equal(t, "choirloft-4870="+token+"; Path=/; HttpOnly; SameSite=Strict", answer.Header.Get("Set-Cookie"))
		} else {
			require.Empty(t, answer.Header.Get("Set-Cookie"))
		}
	}
	require.Equal(t, []string{"0.0.0.0:80", "127.0.0.1:80", "127.0.0.1", "localhost:80", "localhost", "[::1]:80", "::1", "studio.local:80", "studio.local"},
		Hosts(&net.TCPAddr{IP: net.IPv4zero, Port: 80}, "studio.local"))
}

// Who opens the address with the token goes on without it: it stands in a cookie, not in the address.
func TestTokenInTheBrowser(t *testing.T) {
	b := newBench(t)
	at := b.web.Listener.Addr()
	b.web.Config.Handler = New(b.desk, Door{Hosts: Hosts(at, "studio.localhost"), Token: token})
	b.web.URL = strings.Replace(b.web.URL, "127.0.0.1", "studio.localhost", 1) // a name that leads here, RFC 6761, 6.3
	p := openAt(t, b, "/"+token+"/")
	require.Equal(t, b.web.URL+"/#song", value[string](p, `location.href`))
	require.Empty(t, value[string](p, `document.cookie`), "no script reads it")
	p.do(chromedp.Reload(), visible("body[data-ready=yes]"))
	require.Equal(t, 200, value[int](p, `fetch("/api/desk").then((r) => r.status)`))
	_, err := chromedp.Call(p.ctx, network.ClearBrowserCookies, cdp.Empty{})
	require.NoError(t, err)
	require.Equal(t, 403, value[int](p, `fetch("/api/desk").then((r) => r.status)`))
	p.do(chromedp.Navigate(b.web.URL))
	require.Contains(t, value[string](p, `document.body.textContent`), "this page needs its token: open the exact address that serve printed")
}
