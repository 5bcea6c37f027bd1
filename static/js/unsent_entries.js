/* The list of what this device has not sent, and loading such a list from a file. Works without network. */
const { state, clock, OURS } = sendOutbox;
const list = document.querySelector("[data-list]");
const fileField = document.querySelector("[data-upload]");
let shown = [];
const tell = (text) => { document.querySelector("[data-said]").textContent = text; };
const when = (at) => new Date(at).toLocaleString("en-GB", { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });

function download(file) {
  const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(file), download: file.name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

function reasonOf(item) {
  if (item.state === "needs-you") return item.problem;
  if (item.disowned) return `${item.author} says that this is not theirs: a supervisor settles it.`;
  if (item.unconfirmed && item.state === "waiting") return `Kept under ${item.author}’s name, picked without a PIN. It waits until ${item.author} confirms it.`;
  if (item.state === "held") return "Opened to be changed and not saved again. Send it as it was, or change it.";
  return "";
}
function stateOf(item) {
  if (item.unconfirmed) return "name not yet confirmed";
  if (item.state === "needs-you") return "needs you";
  if (item.disowned) return `${item.author} says that this is not theirs: a supervisor settles it.`;
  if (item.unconfirmed && item.state === "waiting") return `Kept under ${item.author}’s name, picked without a PIN. It waits until ${item.author} confirms it.`;
  if (item.state === "held") return "held back";
  if (state.isSignedOut) return "waits for a sign-in";
  if (shown.some((each) => each.entry === item.after)) return "goes after its entry";
  return item.author === state.person || !state.person ? "waiting to send" : `waits for ${item.author} or an enrolled tablet`;
}

const isMine = (item) => item.unconfirmed && !item.after && !item.disowned && state.isChecked && item.author === state.person;
const button = (act, text, more = {}) => {
  const made = Object.assign(document.createElement("button"), { type: "button", className: "button", textContent: text });
  Object.assign(made.dataset, { do: act, ...more });
  return made;
};

/* What this entry needs before it can go: an answer, or a name. */
function waysOf(item) {
  if (item.state === "needs-you") return (item.answers ?? []).map(({ label }, n) => button("answer", label, { n }));
  if (!item.unconfirmed || item.after) return [];
  if (isMine(item)) return [button("mine", "It is mine, send it"), button("disown", "Not mine")];
  if (state.isChecked && state.mayVouch) return [button("vouch", `Send it as ${item.author}’s: I vouch`)];
  if (item.disowned) return [];
  return [Object.assign(document.createElement("a"), { className: "button", href: atTablet.confirmUrl(item.author), textContent: `${item.author}: confirm with the PIN` })];
}

function rowOf(item) {
  const row = document.querySelector("[data-row]").content.firstElementChild.cloneNode(true);
  row.dataset.entry = item.entry;
  row.classList.toggle("needs-you", item.state !== "waiting");
  row.querySelector(".unsent-label").textContent = item.label;
  row.querySelector(".unsent-said").textContent = item.said;
  row.querySelector(".unsent-when").textContent = `${stateOf(item)}; by ${item.author}, ${when(item.at)}${item.tries ? `; tried ${item.tries} times` : ""}`;
  const wrong = row.querySelector(".wrong");
  wrong.textContent = reasonOf(item);
  wrong.hidden = !wrong.textContent;
  const edit = row.querySelector('[data-do="edit"]');
  edit.href = `${item.page}#unsent=${item.entry}`;
  edit.hidden = !OURS.test(item.page);
  row.querySelector(".ways").prepend(...waysOf(item));
  row.querySelector('[data-do="send"]').hidden = Boolean(item.unconfirmed);
  const picture = item.fields.find(([, value]) => value instanceof Blob)?.[1];
  if (picture) {
    const img = Object.assign(document.createElement("img"), { src: URL.createObjectURL(picture), alt: "" });
    img.addEventListener("load", () => URL.revokeObjectURL(img.src), { once: true });
    row.querySelector(".unsent-said").before(img);
  }
  return row;
}

async function show() {
  let items = [];
  try {
    items = await outbox.list();
  } catch {
    document.querySelector("[data-refused]").hidden = false;
  }
  shown = items;
  list.replaceChildren(...items.map(rowOf));
  const mine = items.filter(isMine);
  const all = document.querySelector('[data-do="all-mine"]');
  all.hidden = mine.length < 2;
  all.textContent = `All ${mine.length} under my name are mine, send them`;
  document.querySelector("[data-none]").hidden = items.length > 0 || state.isStoreRefused;
  for (const name of ["send-all", "download"]) document.querySelector(`[data-do="${name}"]`).hidden = !items.length;
  const fact = (name, text) => { document.querySelector(`[data-fact="${name}"]`).textContent = text; };
  fact("secure", globalThis.isSecureContext ? (await navigator.serviceWorker?.getRegistration() ? "yes" : "not yet: open this page once more") : "no: the address is not https");
  const persists = await navigator.storage?.persisted?.();
  const asked = localStorage.getItem("storage-persists");
  fact("persist", persists ? "the browser has promised not to clear it" : asked === "no" ? "kept, but the browser may clear it when the disk is full" : "the browser is asked at the first save");
  fact("clock", clock.offsetS === null ? "not yet held against the server’s" : clock.isFarOff ? `${Math.round(Math.abs(clock.offsetS) / 60)} minutes ${clock.offsetS > 0 ? "ahead" : "behind"}: please set it` : "right to a few seconds");
}

async function sendNow(chosen, changes) {
  const photos = (await outbox.list()).filter((item) => chosen.includes(item.after)); /* whoever answers for an entry answers for them */
  const entries = [...chosen, ...photos.map(({ entry }) => entry)];
  for (const entry of entries) await outbox.mark(entry, { state: "waiting", problem: "", tries: 0, ...changes });
  await sendOutbox.now();
  const left = (await outbox.list()).filter((item) => entries.includes(item.entry)).length;
  tell(left ? "Not sent; it is still here." : "Sent.");
}

const acts = {
  async answer(entry, { n }) {
    const item = (await outbox.list()).find((each) => each.entry === entry);
    const { name, value } = item.answers[n];
    await outbox.mark(entry, { fields: [...item.fields, [name, value]], answers: [] });
    await sendNow([entry]);
  },
  mine: (entry) => sendNow([entry], { unconfirmed: false }),
  async "all-mine"() { await sendNow((await outbox.list()).filter(isMine).map(({ entry }) => entry), { unconfirmed: false }); },
  vouch: (entry) => sendNow([entry], { vouched: state.person }),
  disown: (entry) => outbox.mark(entry, { disowned: true }),
  send: (entry) => sendNow([entry]),
  async discard(entry) {
    const items = (await outbox.list()).filter((each) => each.entry === entry || each.after === entry);
    const item = items.find((each) => each.entry === entry);
    const its = items.length > 1 ? " with its photos" : "";
    if (!item || !confirm(`Discard “${item.label}” of ${when(item.at)}${its}? A copy is downloaded first.`)) return;
    download(await outbox.exportFile(items));
    tell(await sendOutbox.takeBack(entry) ? "Discarded; the copy is among your downloads." : "It had been sent meanwhile; undo it under My last entries.");
  },
  async "send-all"() {
    for (const item of await outbox.list()) await outbox.mark(item.entry, { state: "waiting", problem: "", tries: 0 });
    await sendOutbox.now();
    tell((await outbox.list()).length ? "Some are still here." : "All sent.");
  },
  async download() { download(await outbox.exportFile()); },
};

document.addEventListener("click", async ({ target }) => {
  const button = target.closest?.("[data-do]");
  const entry = button?.closest("[data-entry]")?.dataset.entry;
  if (!button) return;
  if (button.dataset.do === "edit") { /* not sent while it is open to be changed */
    await outbox.mark(entry, { state: "held" });
    return;
  }
  await acts[button.dataset.do](entry, button.dataset);
  show();
});

/* A file of unsent entries joins this device's queue. Only addresses of log forms are taken from it. */
async function load(file) {
  const told = JSON.parse(await file.text());
  if (told.kind !== "unsent-entries" || !Array.isArray(told.entries)) throw new TypeError("kind");
  const isWhole = (item) => /^[0-9a-f-]{36}$/.test(item.entry) && OURS.test(item.url) && Array.isArray(item.fields) && item.author && !Number.isNaN(Date.parse(item.at));
  const whole = told.entries.filter(isWhole);
  for (const { seq, ...item } of whole) await outbox.add({ ...outbox.fromFile(item), state: "waiting", problem: "", tries: 0, left: true, imported: true });
  await sendOutbox.now();
  const left = (await outbox.list()).filter((item) => whole.some((each) => each.entry === item.entry)).length;
  const skipped = told.entries.length - whole.length;
  tell(`${whole.length} read, ${whole.length - left} sent, ${left} still here${skipped ? `, ${skipped} not understood` : ""}.`);
}

fileField?.addEventListener("change", async () => {
  const wrong = document.querySelector("[data-wrong]");
  wrong.hidden = true;
  try {
    await load(fileField.files[0]);
  } catch {
    wrong.querySelector("p").textContent = "This is not a file of unsent entries. Choose one that “Download unsent entries” has made.";
    wrong.hidden = false;
    wrong.focus();
  }
});
if (list) {
  document.addEventListener("outbox:changed", show);
  show();
}
