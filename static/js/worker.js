// The service worker: today's bookings open without a network. It answers nothing from its store
// while the house's computer answers. What it keeps of customers lies in one store, DAY, that is
// emptied when anyone signs out, when the sign-in page is shown, and after half a day.

const SHELL = "shell-1"; // style sheets, scripts, fonts: nothing of anyone
const DAY = "day-1"; // pages of today's bookings, with names and measures in them
const LONGEST = 12 * 60 * 60 * 1000; // ms a page of the day is shown; a sign-in usually lasts as long
const FRESH = 10 * 60 * 1000; // ms before a page is fetched anew
const PATIENCE = 8000; // ms for the house's computer to answer a page
const WHOSE = "/whose-day"; // no page: the name under which the store was filled
const SIGN_IN = "/people/sign-in/";
const HAND = "/people/hand/"; // another person goes on: a sign-in page as well
const SIGN_OUT = "/people/sign-out/";
const START = "/fitting/start/";
const KEPT = /^\/$|^\/fitting\/(?!start|photographs|pages)|^\/customers\/[^/]+\/measures\/new\/$/;
const HASHED = /^\/static\/.+\.[0-9a-f]{12}\./;

const ageOf = (kept) => Date.now() - Number(kept.headers.get("X-Kept-At"));

// Rebuilt: a response that was redirected to may not answer a navigation.
async function stamped(answer) {
  const headers = new Headers(answer.headers);
  ["Content-Encoding", "Content-Length", "Set-Cookie"].forEach((name) => headers.delete(name));
  headers.set("X-Kept-At", Date.now());
  return new Response(await answer.blob(), { status: answer.status, headers });
}

const patiently = (request) => Promise.race([
  fetch(request),
  new Promise((_, refuse) => setTimeout(() => refuse(new Error("too slow")), PATIENCE)),
]);

function plain(title, text) {
  const page = `<!doctype html><html lang="en-GB"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>${title}</title><h1>${title}</h1><p>${text}</p><p><a href="/">Today</a></p>`;
  return new Response(page, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": "default-src 'none'" } });
}

async function keptPage(address) {
  const kept = await (await caches.open(DAY)).match(address, { ignoreVary: true });
  if (kept && ageOf(kept) < LONGEST) return kept;
  return plain("No connection", "This page is not kept on the tablet. What you tapped is, and goes out when the network is back.");
}

async function page(request) {
  const { pathname } = new URL(request.url);
  try {
    const answer = await patiently(request);
    if (pathname === SIGN_IN || pathname === HAND) await caches.delete(DAY);
    else if (answer.ok && KEPT.test(pathname)) await (await caches.open(DAY)).put(request.url, await stamped(answer.clone()));
    return answer;
  } catch {
    return keptPage(request.url);
  }
}

async function signOut(request) {
  await caches.delete(DAY);
  try {
    return await fetch(request);
  } catch {
    return plain("Signed out on this tablet only", "Today’s customers are gone from it. The house’s computer was not reached: sign out once more when the network is back.");
  }
}

// A fitting begun without a network: the same screen, whose first tap begins the session.
async function start(request) {
  const said = await request.clone().formData();
  try {
    return await patiently(request);
  } catch {
    return Response.redirect(`/fitting/ahead/${said.get("booking")}/`, 303);
  }
}

async function part(request) {
  const shell = await caches.open(SHELL);
  const { pathname } = new URL(request.url);
  const kept = await shell.match(request.url, { ignoreVary: true });
  if (kept && HASHED.test(pathname)) return kept;
  try {
    const answer = await fetch(request);
    if (answer.ok) await shell.put(request.url, answer.clone());
    return answer;
  } catch (error) {
    if (kept) return kept;
    throw error;
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== self.location.origin) return;
  if (request.method === "GET" && pathname.startsWith("/static/")) event.respondWith(part(request));
  if (request.mode !== "navigate") return;
  if (request.method === "GET") event.respondWith(page(request));
  else if (pathname === SIGN_OUT) event.respondWith(signOut(request));
  else if (pathname === START) event.respondWith(start(request));
});

// ---- the day, fetched ahead, one page after another so that no tap waits for it

async function fetchAhead(address, day, shell) {
  const kept = await day.match(address, { ignoreVary: true });
  if (kept && ageOf(kept) < FRESH) return true;
  const answer = await fetch(address, { credentials: "same-origin", priority: "low" });
  if (!answer.ok || new URL(answer.url).pathname === SIGN_IN) return false;
  const text = await answer.clone().text();
  for (const [, file] of text.matchAll(/(?:href|src)="(\/static\/[^"]+)"/g)) {
    if (!(await shell.match(file, { ignoreVary: true }))) await shell.add(file);
  }
  // Last: a page without its scripts would send a tap by itself, into no network.
  await day.put(address, await stamped(answer));
  return true;
}

async function keepDay({ user, pages }) {
  const whose = await (await caches.open(DAY)).match(WHOSE);
  if (whose && (await whose.text()) !== user) await caches.delete(DAY);
  const day = await caches.open(DAY);
  const shell = await caches.open(SHELL);
  await day.put(WHOSE, new Response(user, { headers: { "X-Kept-At": Date.now() } }));
  for (const address of pages) {
    // Signed out meanwhile: the store was emptied, and must not be filled again.
    if (!(await caches.has(DAY)) || !(await fetchAhead(address, day, shell))) return;
  }
  const wanted = new Set([...pages, WHOSE].map((address) => new URL(address, self.location).href));
  for (const { url } of await day.keys()) if (!wanted.has(url) && ageOf(await day.match(url)) > LONGEST) await day.delete(url);
}

self.addEventListener("message", (event) => {
  if (event.data?.pages) event.waitUntil(keepDay(event.data).catch(() => {}));
});
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
