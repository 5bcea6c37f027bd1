/* What is typed into a log form and not saved outlives a reload, a killed tab, a page left by accident: kept on this device for a
   day, for one person and one form. It is offered, never filled in by itself. */
const DAY_MS = 86_400_000;
const SETTLED_MS = 400;
const PREFIX = "draft|";
const { fill, actionOf, isKept, NOT_CONTENT } = entryForm;
const blank = new Map(); /* key -> the fields as they came */
const begun = new WeakMap(); /* form -> when its draft was begun */
const timers = new Map();
const keyOf = (form) => `${PREFIX}${atTablet.name}|${actionOf(form)}|${form.querySelector("[type=hidden][name=slot]")?.value ?? ""}`;

/* What a person typed or chose; what the page itself says of the day stays the page's. */
function saidIn(form) {
  const hidden = new Set([...form.querySelectorAll("[type=hidden], [type=file]")].map(({ name }) => name));
  return JSON.stringify([...new FormData(form)].filter(([name]) => !hidden.has(name) && !NOT_CONTENT.has(name)));
}

function read(key) {
  try {
    const draft = JSON.parse(localStorage.getItem(key));
    if (draft && Date.now() - Date.parse(draft.at) < DAY_MS) return draft;
  } catch { /* not ours: gone with the rest */ }
  localStorage.removeItem(key);
  return null;
}

function keep(form) {
  timers.delete(form);
  if (!form.isConnected || form.dataset.sending || form.querySelector(".draft") || globalThis.openEntry) return;
  const said = saidIn(form);
  if (said === blank.get(keyOf(form))) return drop(form);
  if (!begun.has(form)) begun.set(form, new Date().toISOString());
  try {
    localStorage.setItem(keyOf(form), JSON.stringify({ at: begun.get(form), fields: JSON.parse(said) }));
  } catch { /* full, or refused: then a draft is not kept, an entry still is */ }
}

function drop(form) {
  clearTimeout(timers.get(form));
  timers.delete(form);
  begun.delete(form);
  form.querySelector(".draft")?.remove();
  localStorage.removeItem(keyOf(form));
}

function later({ target }) {
  const form = target.closest?.("form[data-entry]");
  if (!form || !isKept(form)) return;
  clearTimeout(timers.get(form));
  timers.set(form, setTimeout(keep, SETTLED_MS, form));
}

function atOnce() {
  for (const [form, timer] of [...timers]) {
    clearTimeout(timer);
    keep(form);
  }
}

function offer(form, draft) {
  const at = new Date(draft.at);
  const day = at.toDateString() === new Date().toDateString() ? "" : "yesterday ";
  const note = document.createElement("div");
  note.className = "ask draft";
  const words = document.createElement("p");
  words.textContent = `You had begun this ${day}at ${at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" })} and not saved it.`;
  const ways = document.createElement("div");
  ways.className = "ways";
  const acts = {
    "Go on"() {
      begun.set(form, draft.at);
      note.remove();
      fill(form, draft.fields);
    },
    "Throw away"() { drop(form); },
  };
  for (const [label, act] of Object.entries(acts)) {
    const button = Object.assign(document.createElement("button"), { type: "button", className: "button", textContent: label });
    button.addEventListener("click", act);
    ways.append(button);
  }
  note.append(words, ways);
  form.prepend(note);
  const opener = form.closest(".stop")?.querySelector(".opener"); /* a row of the round, shut as it came */
  if (opener && !document.querySelector(".opener:checked")) opener.checked = true;
}

globalThis.drafts = { drop };
for (const key of Object.keys(localStorage)) if (key.startsWith(PREFIX)) read(key);
for (const form of document.querySelectorAll("form[data-entry]:not(.quick)")) {
  if (!isKept(form)) continue;
  blank.set(keyOf(form), saidIn(form));
  const draft = !location.hash.startsWith("#unsent=") && read(keyOf(form));
  if (draft) offer(form, draft);
}
for (const kind of ["input", "change", "click"]) document.addEventListener(kind, later); /* steppers and keys only click */
addEventListener("pagehide", atOnce);
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "hidden") atOnce(); });
