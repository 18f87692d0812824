package page

import (
	"crypto/subtle"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

// Door says who may ask for the page.
type Door struct {
	// Hosts are the names under which it may be asked, with the port: what another site's name
	// leads here is refused. An address of this machine is such a name for whoever comes by it.
	Hosts []string
	// Token is what others must show than those on this machine who ask for it as such: before the
	// path, as in /TOKEN/, and from then on in a cookie. Empty where nobody else can ask.
	Token string
}

// policy lets the page use what comes from here, and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; " +
	"frame-ancestors 'none'; base-uri 'none'; form-action 'none'"

// guard lets in who may ask, and sets what every answer has.
func (d *Door) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case !slices.Contains(d.Hosts, strings.ToLower(r.Host)) && !reached(r):
			http.Error(w, "this page does not answer as "+cleanName(r.Host)+": open the address that serve printed", http.StatusMisdirectedRequest)
		case d.Token == "":
			next.ServeHTTP(w, r)
		case d.is(before(r.URL.Path)):
			http.SetCookie(w, &http.Cookie{Name: cookieName(r), Value: d.Token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
			asked := *r
			at := *r.URL
			at.Path, at.RawPath = "/"+strings.TrimPrefix(strings.TrimPrefix(at.Path, "/"+d.Token), "/"), ""
			asked.URL = &at
			next.ServeHTTP(w, &asked)
		case home(r) || slices.ContainsFunc(r.CookiesNamed(cookieName(r)), func(c *http.Cookie) bool { return d.is(c.Value) }):
			next.ServeHTTP(w, r)
		default:
			d.turnAway(w, r)
		}
	})
}

// turnAway answers who has no token, as a page of the program reads it, or as a person does.
func (d *Door) turnAway(w http.ResponseWriter, r *http.Request) {
	no := &refusal{http.StatusForbidden, "this page needs its token", "open the exact address that serve printed"}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		refuse(w, no)
		return
	}
	http.Error(w, no.message+": "+no.hint, no.status)
}

// is tells whether somebody knows the token, in the same time whatever is said.
func (d *Door) is(said string) bool {
	return subtle.ConstantTimeCompare([]byte(said), []byte(d.Token)) == 1
}

// before is the first part of a path.
func before(path string) string {
	first, _, _ := strings.Cut(strings.TrimPrefix(path, "/"), "/")
	return first
}

// cookieName has the port in it, since a browser shares cookies among ports.
func cookieName(r *http.Request) string {
	if at, ok := here(r); ok {
		return "choirloft-" + at[strings.LastIndexByte(at, ':')+1:]
	}
	return "choirloft"
}

// here is the address that a request came to.
func here(r *http.Request) (string, bool) {
	at, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return "", false
	}
	return at.String(), true
}

// home tells whether a request comes from this machine, and asks for it as such.
func home(r *http.Request) bool {
	from, err := netip.ParseAddrPort(r.RemoteAddr)
	return err == nil && from.Addr().Unmap().IsLoopback() && isLoopback(r.Host)
}

// isLoopback tells whether a host, with a port or without, is this machine to whoever says it.
func isLoopback(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	ip, err := netip.ParseAddr(strings.Trim(host, "[]"))
	return strings.EqualFold(host, "localhost") || err == nil && ip.Unmap().IsLoopback()
}

// reached tells whether a request names the very address that it came to. Another
// site's name can lead here, but a number cannot be another site's.
func reached(r *http.Request) bool {
	at, ok := here(r)
	if !ok {
		return false
	}
	here, err := netip.ParseAddrPort(at)
	if err != nil {
		return false
	}
	host := r.Host
	if _, _, err := net.SplitHostPort(host); err != nil {
		host += ":80" // which browsers leave out
	}
	asked, err := netip.ParseAddrPort(host)
	return err == nil && asked.Port() == here.Port() && asked.Addr().Unmap() == here.Addr().Unmap().WithZone("")
}

// Hosts are the names under which an address may be asked: its own, and others that lead to it.
func Hosts(address net.Addr, names ...string) []string {
	host, port, err := net.SplitHostPort(address.String())
	if err != nil {
		return []string{address.String()}
	}
	if ip := net.ParseIP(host); ip != nil && (ip.IsLoopback() || ip.IsUnspecified()) {
		names = append([]string{"127.0.0.1", "localhost", "::1"}, names...)
	}
	hosts := []string{net.JoinHostPort(host, port)}
	for _, name := range names {
		hosts = append(hosts, net.JoinHostPort(strings.ToLower(name), port))
		if port == "80" { // which browsers leave out
			hosts = append(hosts, strings.ToLower(name))
		}
	}
	return hosts
}
