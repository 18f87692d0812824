// @ts-check
// The dark for work at the rack goes on before anything is shown, whatever the system likes: no flash of white.
// It is no module, since those run late.

try {
  if (localStorage.getItem("choirloft-dark") === "yes") document.documentElement.classList.add("torch");
} catch { /* a browser that keeps nothing is as light as its system */ }
