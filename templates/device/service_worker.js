/* Keeps the pages of a round for a walk without network. It serves; it never sends: entries are the business of send_outbox.js.
   Pages come from the network first, hashed files from the cache first, and a post never passes through here. The pages are those of one
   person: another person's page, or signing out, drops them. The outbox lies elsewhere and is never touched. */
const VERSION = "{{ version }}";
const PAGES = `pages-${VERSION}`;
const FILES = "files";
const STATIC = "{{ static_url }}";
const OFFLINE = "{% url 'offline' %}";
const ROSTER = "{% url 'device-roster' %}";
const PERSON = "{{ person_url }}"; /* needs the server, for the PIN */
const TAKE_OVER = "{% url 'take-over' %}"; /* without it: a name, to be confirmed */
const SIGN_OUT = "{% url 'sign-out' %}";
const START = "{{ round_url }}";
const STATE = "/device/kept/"; /* not an address: the name under which the state lies beside the pages */
const HASHED = /\.[0-9a-f]{12}\.\w+$/;
const NEVER = /^\/(admin|sign-in|sign-out|person|device\/(token|roster|enrol|secure))\//;
const NETWORK_WITHIN_MS = 4_000;
const AGAIN_AFTER_MS = 3 * 3_600_000;
const MOST_PAGES = 1_000;
let keeping = null;
let wanted = ""; /* whose pages: who asked last */
let renewing = null;
let stop = new AbortController(); /* of what is fetched behind the page: the answer to an old sign-in would end the new one */
let isOld = false; /* the kept round: something was logged since */
let epoch = 0; /* rises when pages are dropped, so that a fetch under way is not put back */

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const answer = await fetch(OFFLINE, { redirect: "error", credentials: "omit" });
    await keepFilesOf(await answer.clone().text());
    await (await caches.open(FILES)).put(OFFLINE, answer);
    await self.skipWaiting();
  })());
});
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => {
  if (event.data?.renew) {
    isOld = true;
    renewing ??= renew().finally(() => { renewing = null; });
    event.waitUntil(renewing);
  }
  if (!event.data?.keep) return;
  wanted = event.data.keep;
  keeping ??= keepWanted().finally(() => { keeping = null; });
  event.waitUntil(keeping);
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  if (request.method !== "GET") {
    if ([SIGN_OUT, PERSON].includes(url.pathname)) {
      stop.abort();
      stop = new AbortController();
    }
    if (url.pathname === SIGN_OUT) event.waitUntil(forget());
    return;
  }
  if (url.pathname.startsWith(STATIC)) {
    if (!url.pathname.includes("plotly")) event.respondWith(file(request));
  } else if (request.mode === "navigate") event.respondWith(page(event, url));
});

const pageCaches = async () => (await caches.keys()).filter((name) => name.startsWith("pages-")).sort((a) => (a === PAGES ? -1 : 1));

async function forget() {
  epoch += 1;
  for (const name of await pageCaches()) await caches.delete(name);
}

async function stateNow() {
  const told = await (await caches.open(PAGES)).match(STATE);
  return told ? told.json() : {};
}
const setState = async (state) => (await caches.open(PAGES)).put(STATE, Response.json(state));

async function find(url) {
  for (const name of await pageCaches()) {
    const kept = await (await caches.open(name)).match(url, { ignoreVary: true });
    if (kept) return kept;
  }
  return null;
}

/* Without what holds only once: an id for the scriptless, and words about the last entry. */
async function store(url, answer) {
  const person = answer.headers.get("X-Person");
  if (!answer.ok || answer.redirected || !person || NEVER.test(new URL(url).pathname)) return;
  if (!answer.headers.get("Content-Type")?.startsWith("text/html")) return;
  const began = epoch;
  const text = await answer.text();
  const now = new Date().toISOString();
  const html = text
    .replace(/<noscript>[\s\S]*?<\/noscript>/g, "")
    .replace(/<div class="messages"[\s\S]*?<\/div>/, "")
    .replace("<body", `<body data-kept-at="${now}"`);
  const headers = new Headers(answer.headers);
  for (const name of ["Content-Encoding", "Content-Length"]) headers.delete(name);
  headers.set("X-Kept-At", now);
  const state = await stateNow();
  if (began !== epoch) return;
  if (state.person !== person) {
    if (state.person) await forget();
    await setState({ person });
  }
  const cache = await caches.open(PAGES);
  await cache.put(url, new Response(html, { headers }));
  await keepFilesOf(html);
  const keys = await cache.keys();
  for (const key of keys.slice(0, Math.max(0, keys.length - MOST_PAGES))) {
    if (!key.url.endsWith(STATE)) await cache.delete(key);
  }
}

async function keepFilesOf(html) {
  const cache = await caches.open(FILES);
  for (const [, url] of html.matchAll(/(?:href|src)="([^"]+\.(?:css|js|svg))"/g)) {
    if (!url.startsWith(STATIC) || url.includes("plotly") || (HASHED.test(url) && await cache.match(url))) continue;
    const answer = await fetch(url);
    if (answer.ok) await cache.put(url, answer);
  }
}

async function file(request) {
  const cache = await caches.open(FILES);
  const kept = await cache.match(request, { ignoreVary: true });
  if (kept && HASHED.test(request.url)) return kept;
  try {
    const answer = await fetch(request);
    if (answer.ok) await cache.put(request, answer.clone());
    return answer;
  } catch (error) {
    if (kept) return kept;
    throw error;
  }
}

async function page(event, url) {
  const network = fetch(event.request);
  event.waitUntil(network.then((answer) => store(event.request.url, answer.clone())).catch(() => {}));
  const kept = await find(PERSON && url.pathname === PERSON ? new URL(TAKE_OVER, url).href : event.request.url);
  if (!kept) return network.catch(() => nothingKept(url));
  const tooLong = new Promise((resolve) => { setTimeout(resolve, NETWORK_WITHIN_MS, null); });
  try {
    const answer = await Promise.race([network, tooLong]);
    return answer && ![502, 503, 504].includes(answer.status) ? answer : kept;
  } catch {
    return kept;
  }
}

async function nothingKept(url) {
  if (url.pathname === "/" && START && await find(new URL(START, location.href).href)) return Response.redirect(START);
  return await (await caches.open(FILES)).match(OFFLINE) ?? Response.error();
}

/* Another person may ask while the pages of the one before are still being fetched. */
async function keepWanted() {
  let person;
  do {
    person = wanted;
    await keepAll(person).catch(() => {});
  } while (person !== wanted);
}

/* Today's rounds, as often as something was logged meanwhile. */
async function renew() {
  while (isOld && START) {
    isOld = false;
    for (const { url } of await (await caches.open(PAGES)).keys()) {
      const { pathname, search } = new URL(url);
      if (pathname !== START || /[?&]day=/.test(search)) continue;
      const [began, { signal }] = [epoch, stop];
      const answer = await fetch(url, { redirect: "manual", headers: { "X-Keep": "1" }, signal }).catch(() => null);
      if (began !== epoch || signal.aborted) return;
      if (answer) await store(url, answer);
    }
  }
}

/* The pages of the round, one after another, so that they take nothing from who is working. */
async function keepAll(person) {
  const state = await stateNow();
  if (state.person === person && Date.now() - (state.at ?? 0) < AGAIN_AFTER_MS) return;
  const roster = await (await fetch(ROSTER, { redirect: "error" })).json();
  if (roster.person !== person) return;
  if (state.person && state.person !== person) await forget(); /* here, so that it does not end what begins now */
  const [began, { signal }] = [epoch, stop];
  for (const path of roster.pages) {
    const url = new URL(path, location.href).href;
    const there = await (await caches.open(PAGES)).match(url, { ignoreVary: true });
    if (there && Date.now() - Date.parse(there.headers.get("X-Kept-At")) < AGAIN_AFTER_MS) continue;
    await store(url, await fetch(url, { redirect: "manual", headers: { "X-Keep": "1" }, signal }));
    if (began !== epoch || wanted !== person) return;
  }
  await setState({ person, at: Date.now() });
  for (const name of await pageCaches()) if (name !== PAGES) await caches.delete(name);
}
