/* Sends what the device keeps, one at a time, oldest first, to the addresses the forms themselves have.
   An entry leaves the device only on a receipt: an answer 200 or 201 whose X-Entry names it. A redirect is never a receipt: after
   a sign-in has run out, the way to the sign-in page looks the same as the way to success. */
const TOKEN = "/device/token/";
const UNCONFIRMED = "/device/unconfirmed/";
const TOLD = "unconfirmed-told";
const OURS = /^\/(enclosures|filters|animals|entries|round)\//;
const EVERY_MS = 20_000;
const BACK_OFF_MS = [0, 5_000, 20_000, 60_000];
const ANSWER_WITHIN_MS = 15_000;
const PHOTO_WITHIN_MS = 90_000;
const FAR_OFF_S = 300;
const CLOCK_HOLDS_MS = 3_600_000;
const GIVE_UP_AFTER = 5; /* answers of 500 to one entry: others shall not wait behind it */

const channel = globalThis.BroadcastChannel ? new BroadcastChannel("outbox") : null;
const waitingFor = new Map(); /* entry -> what the form that is still open wants to know */
let failures = 0;
let notBefore = 0;
let running = null;
let again = false;

class SignedOut extends Error {}
class Unreached extends Error {}

const state = { person: document.body.dataset.person ?? "", isSignedOut: false, isChecked: false, mayVouch: false, isSending: false, isStoreRefused: false, sent: 0, problem: "" };

function changed({ tell = true } = {}) {
  document.dispatchEvent(new CustomEvent("outbox:changed"));
  if (tell) channel?.postMessage("changed");
}

/* Web Locks: of all tabs one sends. Without them (plain http) two may; the server knows an entry by its id and keeps one. */
const alone = (work) => (navigator.locks ? navigator.locks.request("outbox", work) : work());

async function fetchIn(url, ms, options = {}) {
  try {
    return await fetch(url, { ...options, redirect: "manual", cache: "no-store", credentials: "same-origin", signal: AbortSignal.timeout(ms) });
  } catch (error) {
    throw new Unreached(error.message);
  }
}

/* Who is signed in, a fresh CSRF token, and the server's clock. */
async function contact() {
  const asked = Date.now();
  const answer = await fetchIn(TOKEN, 8_000, { headers: { accept: "application/json" } });
  state.isSignedOut = answer.status === 401 || answer.type === "opaqueredirect";
  if (state.isSignedOut) throw new SignedOut();
  if (!answer.ok) throw new Unreached(String(answer.status));
  const told = await answer.json().catch(() => { throw new Unreached("not our answer"); });
  clock.seen((asked + Date.now()) / 2 - Date.parse(told.now), asked);
  state.person = told.person;
  state.isChecked = true; /* by the server, since this page was opened */
  state.mayVouch = told.may_vouch;
  atTablet.seen(told.sitting);
  return told;
}

/* How far this device's clock is from the server's, as seen at the last contact; positive when it is ahead. */
const clock = {
  get offsetS() {
    const text = localStorage.getItem("clock-offset-s");
    return text === null ? null : Number(text);
  },
  get isFarOff() { return Math.abs(this.offsetS ?? 0) > FAR_OFF_S; },
  get isFresh() { return Math.abs(Date.now() - Number(localStorage.getItem("clock-seen-at"))) < CLOCK_HOLDS_MS; },
  seen(ms, at) {
    localStorage.setItem("clock-offset-s", String(Math.round(ms / 1000)));
    localStorage.setItem("clock-seen-at", String(at));
  },
};

/* What was kept under a name picked without network goes only once that person has confirmed it, or a supervisor vouches for it. */
function maySend(item, told) {
  if (item.unconfirmed) return told.may_vouch && item.vouched === told.person;
  return item.author === told.person || told.enrolled || (item.imported && told.may_send_for_others);
}

function bodyOf(item) {
  const body = new FormData();
  for (const [name, value] of item.fields) body.append(name, value);
  body.set("entry", item.entry);
  body.set("author", item.author);
  if (item.unconfirmed) body.set("unconfirmed", "1");
  body.set("device_at", item.at);
  if (item.offset_s !== null) body.set("clock_offset_s", item.offset_s);
  body.set("sent_at", new Date().toISOString());
  if (item.left || Date.now() - Date.parse(item.at) > 60_000) body.set("queued", "1"); /* nobody is there to be asked */
  return body;
}

async function post(item, told) {
  const headers = { "X-CSRFToken": told.csrf, "HX-Request": "true" };
  const answer = await fetchIn(item.url, item.after ? PHOTO_WITHIN_MS : ANSWER_WITHIN_MS, { method: "POST", body: bodyOf(item), headers });
  if (answer.type === "opaqueredirect" || answer.status === 401) {
    state.isSignedOut = true;
    throw new SignedOut();
  }
  const { status } = answer;
  if (status >= 500 || status === 408 || status === 429) return { status, kind: "later" };
  const html = await answer.text().catch((error) => { throw new Unreached(error.message); });
  if (status === 200 || status === 201) {
    /* A page that is not ours (a hotel's sign-on) may well say 200. */
    return { status, html, kind: answer.headers.get("X-Entry") === item.entry ? "sent" : "later" };
  }
  return { status, html, kind: "refused" };
}

/* The server's own sentences out of its answer. */
function sentencesOf({ status, html }) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const where = status === 409 ? "#entry-conflict p:not(.ways)" : ".problem li, .problem > p, .wrong, .ask > p";
  const said = [...page.querySelectorAll(where)].map((el) => el.textContent.replace(/\s+/g, " ").trim()).filter(Boolean);
  /* The summary says "First: 889 mm …" and the field says the same beside it: once is enough. */
  const once = [...new Set(said)].filter((one) => !said.some((other) => other.length > one.length && other.endsWith(` ${one}`)));
  if (once.length) return once.join(" ").slice(0, 600);
  if (status === 403) return "The server does not let this person enter this.";
  if (status === 404) return "The server does not know this place any more.";
  return `The server would not take it (${status}).`;
}

/* The ways out that the server offers with a question, so that one tap answers it in the list of unsent entries. */
function answersOf({ html }) {
  const page = new DOMParser().parseFromString(html, "text/html");
  return [...page.querySelectorAll(".ask button[name][value]")].slice(0, 4).map(({ name, value, textContent }) => ({ name, value, label: textContent.trim() }));
}

function tell(entry, outcome) {
  waitingFor.get(entry)?.(outcome);
  waitingFor.delete(entry);
}

/* One entry; true when the next may follow. */
async function sendOne(item, told) {
  let answer = await post(item, told);
  if (answer.kind === "refused" && answer.status === 403) { /* the token may have turned, or the tablet is no longer enrolled */
    Object.assign(told, await contact());
    if (!maySend(item, told)) return true;
    answer = await post(item, told);
  }
  if (answer.kind === "sent") {
    await outbox.remove(item.entry);
    state.sent += 1;
  } else if (answer.kind === "refused") {
    await outbox.mark(item.entry, { state: "needs-you", problem: sentencesOf(answer), status: answer.status, answers: answersOf(answer) });
  } else if (answer.kind === "later") {
    const tries = (item.tries ?? 0) + 1;
    const isHopeless = tries >= GIVE_UP_AFTER && answer.status >= 500;
    const problem = `The server could not take it (${answer.status}), tried ${tries} times.`;
    await outbox.mark(item.entry, isHopeless ? { tries, state: "needs-you", problem, status: answer.status } : { tries });
    if (!isHopeless && !item.after) throw new Unreached(problem); /* a photo keeps nobody waiting */
  }
  tell(item.entry, answer);
  changed();
  return true;
}

/* All that may go now. Looks again until nothing is left, since more may have been kept meanwhile. Photos go last, each only when
   its own entry has gone. */
async function sendAll() {
  const passed = new Set();
  const next = async () => {
    const all = await outbox.list();
    const may = all.filter((item) => item.state === "waiting" && !passed.has(item.entry));
    return may.find((item) => !item.after) ?? may.find((item) => !all.some((each) => each.entry === item.after));
  };
  let item = await next();
  if (!item) return;
  const told = await contact();
  for (; item; item = await next()) {
    passed.add(item.entry);
    if (maySend(item, told)) await sendOne(item, told);
  }
}

/* What lies here under a name without a PIN is told to the server, for a supervisor to see from anywhere; told again when it changes. */
async function tellUnconfirmed() {
  const held = JSON.stringify((await outbox.list()).filter((item) => item.unconfirmed).map(({ author, label, at }) => ({ author, label, at })));
  if (held === (localStorage.getItem(TOLD) ?? "[]")) return;
  const { csrf, enrolled } = await contact();
  if (!enrolled) return;
  const answer = await fetchIn(UNCONFIRMED, 8_000, { method: "POST", body: new URLSearchParams({ held }), headers: { "X-CSRFToken": csrf } });
  if (answer.ok) localStorage.setItem(TOLD, held);
}

async function run() {
  state.isSending = true;
  changed({ tell: false });
  try {
    await alone(sendAll);
    await tellUnconfirmed().catch(() => {});
    failures = 0;
    state.problem = "";
  } catch (error) {
    if (error instanceof SignedOut) state.problem = "signed-out";
    else if (error instanceof Unreached) {
      state.problem = "unreached";
      failures += 1;
      notBefore = Date.now() + BACK_OFF_MS[Math.min(failures, BACK_OFF_MS.length - 1)];
    } else {
      console.warn("The device store failed:", error);
      state.isStoreRefused = true;
      state.problem = "refused";
    }
  } finally {
    state.isSending = false;
    if (!again || state.problem) for (const entry of [...waitingFor.keys()]) tell(entry, { kind: state.problem || "kept" });
    changed();
  }
}

/* One run at a time in this tab; asked meanwhile, it goes once more. */
function send() {
  if (running) {
    again = true;
    return running;
  }
  running = run().finally(() => {
    running = null;
    if (again) {
      again = false;
      send();
    }
  });
  return running;
}

globalThis.sendOutbox = {
  state,
  clock,
  OURS,
  now: send,
  contact,
  /* Sends, and resolves with what became of this entry: {kind: sent | refused | later | signed-out | unreached | kept, status, html}. */
  deliver(entry) {
    const outcome = new Promise((resolve) => { waitingFor.set(entry, resolve); });
    send();
    return outcome;
  },
  /* For a page whose device store is refused: straight to the server, the form keeps what was typed until it answers. */
  async direct(item) {
    try {
      return await post(item, await contact());
    } catch (error) {
      return { kind: error instanceof SignedOut ? "signed-out" : "unreached" };
    }
  },
  /* Out of the queue with its photos, not in the middle of being sent. False: it has gone already. */
  async takeBack(entry) {
    const wasThere = await alone(async () => {
      const isThere = await outbox.remove(entry);
      if (isThere) for (const item of await outbox.list()) if (item.after === entry) await outbox.remove(item.entry);
      return isThere;
    });
    changed();
    return wasThere;
  },
  changed,
};

channel?.addEventListener("message", () => changed({ tell: false }));
addEventListener("online", send);
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") send(); });
setInterval(() => { if (Date.now() >= notBefore) send(); }, EVERY_MS);
send().then(() => { if (!clock.isFresh && !state.problem) return contact().then(() => changed(), () => {}); });
