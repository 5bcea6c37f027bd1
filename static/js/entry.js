/* Every log form: an id for each entry, the tablet's own time, and one road, online or not: kept on the device first, sent second.
   Without this file the forms post as they are; the id then comes from the page itself. */

/* On plain http there is no randomUUID: it needs a secure context. getRandomValues does not. */
function newEntry() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

globalThis.newEntry = newEntry;

const WAIT_MS = 4_000; /* for an answer, before the form is free for the next entry */
const NOT_CONTENT = new Set(["csrfmiddlewaretoken", "entry", "device_at", "sent_at", "clock_offset_s", "author", "queued"]);
const ONCE = /\/correct\/|[?&]finish=/; /* a second entry from the same form would make no sense */

const made = new WeakMap(); /* form -> {entry, at}: made once and kept through every try, since a retry must say the same */
const pristine = new Map(); /* action -> the form as it came, and what it said then */
const isKept = (form) => form.hasAttribute("hx-post") || form.hasAttribute("data-outbox-label");
const actionOf = (form) => {
  const url = new URL(form.getAttribute("action") || location.href, location.href);
  return url.pathname + url.search;
};
const token = () => document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1];

function say(form, strong, small = "", { isWrong = false, link = null } = {}) {
  form.querySelector?.(".counter .undone")?.remove();
  const status = form.querySelector?.("[data-status]") ?? document.querySelector("[data-status]");
  if (!status) return;
  status.classList.toggle("is-wrong", isWrong);
  const head = document.createElement("strong");
  head.textContent = strong;
  const rest = document.createElement("small");
  rest.textContent = small;
  if (link) {
    const a = document.createElement("a");
    a.href = link.href;
    a.textContent = link.text;
    rest.append(" ", a);
  }
  status.replaceChildren(head, rest);
}

/* What the form says, for the list of unsent entries. */
function saidIn(form) {
  const parts = [];
  for (const field of form.elements) {
    if (!field.name || NOT_CONTENT.has(field.name) || field.type === "hidden" || field.type === "submit" || !field.value) continue;
    if (/radio|checkbox/.test(field.type) && (!field.checked || field.defaultChecked)) continue; /* what was chosen, not what stood there */
    const label = field.labels?.[0]?.textContent.replace(/\s+/g, " ").trim() ?? "";
    parts.push(/radio|checkbox/.test(field.type) ? label : `${label} ${field.selectedOptions?.[0]?.textContent ?? field.value}`.trim());
  }
  return parts.join("; ").slice(0, 400);
}

function itemOf(form, submitter) {
  const said = [saidIn(form), globalThis.photos?.said(form)].filter(Boolean).join("; ");
  if (!made.has(form)) made.set(form, { entry: newEntry(), at: new Date().toISOString() });
  const { entry, at } = made.get(form);
  return {
    entry,
    at,
    url: actionOf(form),
    page: location.pathname + location.search,
    label: form.dataset.outboxLabel ?? (form.querySelector("h1") ?? document.querySelector("h1"))?.textContent.replace(/\s+/g, " ").trim() ?? "Entry",
    said: said || submitter?.textContent.replace(/\s+/g, " ").trim() || "",
    isBlank: said === pristine.get(actionOf(form))?.said,
    fields: [...new FormData(form, submitter)].filter(([name, value]) => !NOT_CONTENT.has(name) && typeof value === "string"),
    author: atTablet.name,
    unconfirmed: !atTablet.isConfirmed,
    meal: sameMeal.keyOf(form, at, submitter),
    offset_s: sendOutbox.clock.offsetS,
    state: "waiting",
    problem: "",
    tries: 0,
  };
}

function swap(form, html) {
  const wanted = form.getAttribute("hx-target") ?? "this";
  const target = wanted === "this" ? form : wanted.startsWith("closest ") ? form.closest(wanted.slice(8)) : document.querySelector(wanted);
  const swapStyle = (form.getAttribute("hx-swap") ?? "outerHTML").split(" ")[0];
  htmx.swap(target ?? form, html, { swapStyle, swapDelay: 0, settleDelay: 20 }, { contextElement: form });
}

function release(form) {
  form.inert = false;
  delete form.dataset.sending;
}

/* Ready for the next entry, as the page came; nothing of the last one stays in it. */
function renew(form) {
  made.delete(form);
  globalThis.openEntry = null;
  if (ONCE.test(location.pathname + location.search)) return form;
  const id = form.id;
  const fresh = pristine.get(actionOf(form))?.html;
  if (fresh && form.isConnected) swap(form, fresh);
  else {
    form.reset();
    release(form);
  }
  return (id && document.getElementById(id)) || form;
}

/* The server's answer, put where the form says. */
function show(form, item, { status, html }) {
  if (status === 409) {
    release(form);
    globalThis.openEntry = item;
    const place = form.querySelector("[data-conflict]");
    if (place) htmx.swap(place, html, { swapStyle: "innerHTML", swapDelay: 0, settleDelay: 20 }, { contextElement: form });
    say(form, "Not saved");
    return;
  }
  const stood = [...document.querySelectorAll("form[data-entry]")];
  swap(form, html);
  if (status !== 422) {
    globalThis.openEntry = null;
    return;
  }
  globalThis.openEntry = item;
  if (item.isBlank) outbox.remove(item.entry).catch(() => {}); /* a slip: nothing was filled in */
  const back = [...document.querySelectorAll("form[data-entry]")].find((each) => !stood.includes(each) && actionOf(each) === item.url) ?? form;
  made.set(back, { entry: item.entry, at: item.at });
  globalThis.photos?.move(form, back);
  release(back);
  sendOutbox.changed();
}

/* The entry with its photos; alone where they do not fit. */
async function keepWith(item, taken) {
  try {
    await outbox.add(item, ...taken);
  } catch (error) {
    if (!taken.length) throw error;
    await outbox.add(item);
    photos.sayLost("This tablet has no room for the photo. The entry is kept without it.");
  }
}

function free(form, item, outcome) {
  outbox.mark(item.entry, { left: true }).catch(() => {});
  const next = renew(form);
  const link = { href: `/sign-in/?next=${encodeURIComponent(location.pathname)}`, text: "Sign in to send." };
  if (outcome.kind === "signed-out") say(next, "Saved on this tablet", "", { link });
  else if (outcome.kind === "refused") say(next, "Kept on this tablet", "The server would not take it; see what needs you.", { isWrong: true });
  else say(next, "Saved on this tablet", item.unconfirmed ? `It is sent once ${item.author} has confirmed the name.` : "It is sent as soon as the server is reached.");
  next.dispatchEvent(new CustomEvent("entry:waiting", { bubbles: true, detail: item }));
}

async function keep(form, submitter) {
  const item = itemOf(form, submitter);
  const replaces = form.dataset.replaces;
  form.dataset.sending = "1";
  form.inert = true;
  say(form, "Saving …");
  if (!await sameMeal.mayGoOn(item, replaces)) {
    release(form);
    return say(form, "Not saved", "What was saved before stays.");
  }
  const taken = globalThis.photos?.of(form, item) ?? [];
  try {
    await keepWith(item, taken);
    globalThis.drafts?.drop(form);
    if (replaces && replaces !== item.entry) {
      await globalThis.photos?.follow(form, replaces, item);
      await outbox.remove(replaces);
    }
    delete form.dataset.replaces;
  } catch (error) {
    return goStraight(form, item, error, taken);
  }
  sendOutbox.changed();
  askToPersist();
  const kept = new CustomEvent("entry:kept", { bubbles: true, cancelable: true, detail: item });
  if (!form.dispatchEvent(kept)) { /* the page goes on by itself: the round */
    release(form);
    made.delete(form);
    const outcome = await sendOutbox.deliver(item.entry);
    if (outcome.kind !== "sent" && outcome.kind !== "refused") outbox.mark(item.entry, { left: true }).catch(() => {});
    form.dispatchEvent(new CustomEvent("entry:answered", { bubbles: true, detail: { ...item, outcome } }));
    return;
  }
  const tooLong = new Promise((resolve) => { setTimeout(() => resolve({ kind: "slow" }), WAIT_MS); });
  const outcome = await Promise.race([sendOutbox.deliver(item.entry), tooLong]);
  const isAnswered = outcome.kind === "sent" || (outcome.kind === "refused" && (outcome.status === 422 || outcome.status === 409));
  if (isAnswered) show(form, item, outcome);
  else free(form, item, outcome);
}

/* The device store is refused (private window, full disk): nothing leaves the form until the server has answered. */
async function goStraight(form, item, error, taken) {
  sendOutbox.state.isStoreRefused = true;
  sendOutbox.changed({ tell: false });
  const outcome = await sendOutbox.direct(item);
  if (outcome.kind === "sent") {
    globalThis.drafts?.drop(form);
    for (const photo of taken) {
      if ((await sendOutbox.direct(photo)).kind !== "sent") photos.sayLost("The entry is saved. The photo could not be sent, and this browser cannot keep it.");
    }
  }
  if (outcome.kind === "sent" || outcome.status === 422 || outcome.status === 409) return show(form, item, outcome);
  release(form);
  const why = outcome.kind === "signed-out" ? "Sign in on another tab, then save again." : `This browser cannot keep it (${error.name}) and the server was not reached. Try again.`;
  say(form, "Not saved", `All is still here. ${why}`, { isWrong: true });
}

/* Asked once: a browser may otherwise clear what a page has stored when the disk is full. */
async function askToPersist() {
  if (!navigator.storage?.persist || localStorage.getItem("storage-persists")) return;
  localStorage.setItem("storage-persists", (await navigator.storage.persist()) ? "yes" : "no");
}

document.addEventListener("submit", (event) => {
  const form = event.target.closest("form[data-entry]");
  if (!form) return;
  if (form.dataset.sending) { /* the second tap of a double tap */
    event.preventDefault();
    event.stopImmediatePropagation();
    return;
  }
  if (isKept(form) && globalThis.sendOutbox) {
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!navigator.onLine && !form.checkValidity()) return void form.reportValidity();
    keep(form, event.submitter);
    return;
  }
  if (!navigator.onLine) { /* taking back or withdrawing needs what the server has */
    event.preventDefault();
    return void say(form, "No network", "This needs the server. Nothing was changed.", { isWrong: true });
  }
  stampAsIs(form);
  form.dataset.sending = "1";
}, true);

/* A form that posts as a page: to take back, to withdraw. */
function stampAsIs(form) {
  for (const input of form.querySelectorAll("noscript input")) input.remove();
  if (!form.elements.entry) {
    const input = Object.assign(document.createElement("input"), { type: "hidden", name: "entry", value: newEntry() });
    form.append(input);
  }
  if (token() && form.elements.csrfmiddlewaretoken) form.elements.csrfmiddlewaretoken.value = token();
}
addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sending]")) release(form);
});

document.addEventListener("click", (event) => {
  const form = event.target.closest("[data-anew]")?.closest("form[data-entry]");
  if (form) { /* both happened: what is typed becomes an entry of its own */
    form.dataset.replaces = made.get(form)?.entry ?? "";
    made.delete(form);
  }
  const leave = event.target.closest("a[data-leave]");
  if (leave && globalThis.openEntry) { /* the person has looked and does not want it */
    event.preventDefault();
    sendOutbox.takeBack(globalThis.openEntry.entry).finally(() => { location.href = leave.href; });
  }
}, true);

/* htmx still does the small things: undo, parts of pages. */
document.addEventListener("htmx:configRequest", (event) => {
  if (token()) event.detail.headers["x-csrftoken"] = token();
});
document.addEventListener("htmx:afterSwap", () => {
  const first = document.querySelector("#entry-conflict") ?? document.querySelector(".problem") ?? document.querySelector("#saved [data-focus], [data-focus]");
  if (!first) return;
  first.focus({ preventScroll: true });
  first.scrollIntoView({ block: "start" });
});

/* Puts [name, value] pairs back into a form, and tells its own scripts. */
function fill(form, fields) {
  const values = new Map();
  for (const [name, value] of fields) values.set(name, [...(values.get(name) ?? []), value]);
  const changed = [];
  for (const field of form.elements) {
    if (!field.name || NOT_CONTENT.has(field.name) || field.type === "file") continue;
    if (field.type === "hidden" && !values.has(field.name)) continue; /* the page's own */
    const said = values.get(field.name) ?? [];
    if (/radio|checkbox/.test(field.type)) {
      field.checked = said.includes(field.value);
      if (field.checked) changed.push([field, "change"]);
    } else if (field.type !== "submit" && field.tagName !== "FIELDSET") {
      field.value = said.shift() ?? "";
      if (field.value && field.type !== "hidden") changed.push([field, "input"]);
    }
  }
  for (const details of form.querySelectorAll("details")) {
    if ([...details.querySelectorAll("input:not([type=radio], [type=checkbox]), textarea")].some((field) => field.value)) details.open = true;
  }
  for (const [field, kind] of changed) field.dispatchEvent(new Event(kind, { bubbles: true }));
  form.dispatchEvent(new Event("input", { bubbles: true }));
}
globalThis.entryForm = { fill, actionOf, isKept, NOT_CONTENT };

/* An unsent entry opened to be changed: "#unsent=<entry>" fills the form with what it said, and saving replaces it in its place. */
async function reopen() {
  const entry = location.hash.match(/^#unsent=([0-9a-f-]{36})$/)?.[1];
  if (!entry) return;
  const item = (await outbox.list()).find((each) => each.entry === entry);
  const form = [...document.querySelectorAll("form[data-entry]")].find((each) => item && actionOf(each) === item.url);
  if (!form) return;
  fill(form, item.fields);
  made.set(form, { entry: item.entry, at: item.at });
  globalThis.openEntry = item;
  say(form, "Opened to be changed", "Save it to send it.");
  sendOutbox.changed();
}

for (const form of document.querySelectorAll("form[data-entry]")) {
  if (isKept(form)) pristine.set(actionOf(form), { html: form.outerHTML.replace(/<noscript>[\s\S]*?<\/noscript>/g, ""), said: saidIn(form) });
}
if (globalThis.outbox) reopen().catch(() => {});
