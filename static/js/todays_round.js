/* The round goes on while entries are on their way: a tapped row closes at once and says where its entry is; the answer, when it
   comes, takes the row's place. Keeping and sending are entry.js and the outbox. Without this file the rows are plain forms. */
const LEFT = "buttons-on-the-left";
const rowOf = (el) => el.closest?.(".stop");
const clock = (at) => new Date(at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
const dayOf = (at) => `${at.getFullYear()}-${String(at.getMonth() + 1).padStart(2, "0")}-${String(at.getDate()).padStart(2, "0")}`;

const left = document.getElementById("left");
if (left) {
  left.checked = localStorage.getItem(LEFT) === "1";
  left.addEventListener("change", () => localStorage.setItem(LEFT, left.checked ? "1" : "0"));
}

/* A page kept from another day, or from this morning, would fill in the wrong meal. */
function warnWhenStale() {
  const round = document.querySelector("#round[data-is-today]");
  const warning = document.getElementById("stale");
  if (!round || !warning) return;
  warning.hidden = round.dataset.day === dayOf(new Date());
  if (!warning.hidden) warning.textContent = "This page was kept on another day. Its plans may be old: reload it when there is network.";
}
warnWhenStale();
document.addEventListener("visibilitychange", warnWhenStale);

/* Rows whose entry is still on this tablet ------------------------------------------------------------------------- */
function keep(row, item) {
  if (row.classList.contains("is-kept")) return;
  row.classList.add("is-kept");
  row.dataset.kept = item.entry;
  const words = document.createElement("p");
  words.className = "kept-words";
  words.innerHTML = '<svg class="shape" aria-hidden="true"><use href="#waiting"/></svg> ';
  const code = document.createElement("b");
  code.textContent = row.dataset.name ?? row.id.replace("stop-", "");
  words.append(code, ` kept on this tablet, ${clock(item.at)}`);
  const undo = document.createElement("button");
  undo.type = "button";
  undo.className = "button kept-undo";
  undo.textContent = "Undo";
  undo.addEventListener("click", async () => {
    const wasThere = await sendOutbox.takeBack(item.entry);
    if (wasThere) release(row);
    else location.reload();
  });
  row.append(words, undo);
}

function release(row) {
  row.classList.remove("is-kept");
  delete row.dataset.kept;
  for (const el of row.querySelectorAll(".kept-words, .kept-undo")) el.remove();
  showWaiting();
}

/* Sent meanwhile, while nobody waited for the answer: the row as the server has it now. */
function refresh(row) {
  const round = document.getElementById("round");
  const query = new URLSearchParams({ slot: round.dataset.slot, day: round.dataset.day, how: round.dataset.how });
  const path = new URL(row.querySelector("form.quick").action).pathname;
  release(row);
  htmx.ajax("GET", `${path}?${query}`, { source: row, target: row, swap: "outerHTML" }); /* its own source: htmx drops what one element asks for twice */
}

/* Of this meal and this day: another round's entry for the same place is none of this row's business. */
function isOfThisRound(item, row) {
  if (row.matches(".dose")) return true; /* its address names the planned dose */
  const round = document.getElementById("round");
  const said = Object.fromEntries(item.fields);
  const day = said.when_on || dayOf(new Date(item.at));
  return said.slot === round?.dataset.slot && day === round.dataset.day;
}

/* The same stop; the same planned dose of the same course. */
function isSame(one, other) {
  const [a, b] = [one, other].map((url) => new URL(url, location.href));
  return a.pathname === b.pathname && a.searchParams.get("for") === b.searchParams.get("for");
}

async function showWaiting() {
  if (!globalThis.outbox) return;
  const items = (await outbox.list().catch(() => [])).filter((item) => item.url.startsWith("/round/"));
  for (const item of items) {
    const form = [...document.querySelectorAll(".stop > form.quick")].find((each) => isSame(each.action, item.url));
    if (!form) continue;
    const row = rowOf(form);
    if (item.state === "waiting" && isOfThisRound(item, row)) keep(row, item);
    else if (row.dataset.kept === item.entry) release(row); /* it needs somebody: the list of unsent entries says why */
  }
  recount();
  const line = document.querySelector(".waiting-line");
  if (!line) return;
  line.hidden = !items.length;
  line.querySelector("[data-waiting]").textContent = String(items.length);
}

/* What is kept here is done for who walks; the server's own count, once it answers, takes the place of this one. */
function recount() {
  const n = (query) => document.querySelectorAll(query).length;
  const [stops, doses] = [n(".stop:not(.dose, .is-done, .is-kept)"), n(".dose:not(.is-done, .is-kept)")];
  const left = document.getElementById("left-to-do");
  if (left) left.textContent = [stops && `${stops} to go`, doses && `${doses} dose${doses === 1 ? "" : "s"} due`].filter(Boolean).join(", ") || "All done";
  for (const link of document.querySelectorAll("#round-end dd a[href^='#stop-']")) {
    link.hidden = Boolean(document.getElementById(decodeURIComponent(link.hash.slice(1)))?.matches(".is-kept"));
  }
  const tally = document.getElementById("tally");
  if (tally) for (const text of tally.childNodes) {
    if (text.nodeType === Node.TEXT_NODE) text.data = text.data.replace(/\d+(?= of \d+ done)/, String(n(".stop:not(.dose)") - stops));
  }
}

/* Once all has settled, whatever is not in the store any more has been sent. */
let settling;
function settle() {
  showWaiting();
  clearTimeout(settling);
  settling = setTimeout(async () => {
    const there = new Set((await outbox.list().catch(() => [])).map((item) => item.entry));
    for (const row of document.querySelectorAll(".stop.is-kept")) if (!there.has(row.dataset.kept)) refresh(row);
  }, 600);
}

/* On to the next: the keyboard's focus, and the row in sight ------------------------------------------------------- */
function moveOn(row) {
  const rows = [...document.querySelectorAll(".stop")];
  const open = rows.slice(rows.indexOf(row) + 1).find((each) => !each.matches(".is-done, .is-kept"));
  (open?.querySelector(".as-planned") ?? document.getElementById("round-end"))?.focus({ preventScroll: true });
  open?.scrollIntoView({ block: "nearest" });
}

document.addEventListener("entry:kept", (event) => {
  const row = rowOf(event.target);
  if (!row) return;
  event.preventDefault();
  keep(row, event.detail);
  navigator.vibrate?.(30);
  moveOn(row);
});

document.addEventListener("entry:answered", ({ target, detail }) => {
  const row = rowOf(target);
  const { outcome } = detail;
  if (!row || !outcome) return;
  const status = document.querySelector(".counter [data-status]");
  status?.replaceChildren();
  if (outcome.kind === "sent" || (outcome.kind === "refused" && outcome.status === 422)) {
    const { id } = row;
    htmx.swap(row, outcome.html, { swapStyle: "outerHTML", swapDelay: 0, settleDelay: 20 }, { contextElement: target });
    if (outcome.kind === "refused") askAgain(document.getElementById(id), detail);
  } else if (outcome.kind === "refused") {
    release(row);
    row.querySelector(".opener").checked = true;
    const place = row.querySelector("[data-conflict]");
    if (place) htmx.swap(place, outcome.html ?? "", { swapStyle: "innerHTML", swapDelay: 0, settleDelay: 20 }, { contextElement: target });
  }
  showWaiting();
});

/* Refused or asked about: what is saved from this row now takes the place of what was kept. */
function askAgain(row, item) {
  if (!row) return;
  globalThis.openEntry = item;
  for (const form of row.querySelectorAll("form[data-entry]")) form.dataset.replaces = item.entry;
  row.scrollIntoView({ block: "nearest" });
  row.querySelector("[data-focus], .wrong")?.focus?.({ preventScroll: true });
}

document.addEventListener("change", ({ target }) => { /* one row open at a time; its first choice in sight */
  if (!target.matches?.(".opener") || !target.checked) return;
  for (const other of document.querySelectorAll(".opener:checked")) if (other !== target) other.checked = false;
  rowOf(target).scrollIntoView({ block: "nearest" });
});

document.addEventListener("input", ({ target }) => { /* an unsent entry opened to be changed fills a closed row */
  if (target.matches?.("form.differences")) rowOf(target).querySelector(".opener").checked = true;
});

document.addEventListener("outbox:changed", settle);
showWaiting();
if (location.hash.startsWith("#stop-")) document.getElementById(decodeURIComponent(location.hash.slice(1)))?.focus();
