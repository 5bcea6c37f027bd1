/* The counter: what waits on this device, what needs a person, what has gone. In every [data-unsent], on every page of those who log.
   The page's own clock warning and the words at sign-out stand here too, since both come from the same store. */
const { state, clock } = sendOutbox;
const LONG_H = 12;
let items = [];

const time = (at) => new Date(at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
const day = (at) => new Date(at).toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short" });
const isToday = (at) => new Date(at).toDateString() === new Date().toDateString();

function since(at) {
  return `Kept on this tablet since ${isToday(at) ? "" : `${day(at)}, `}${time(at)}`;
}

/* The entry whose form is open before the person is not counted among what needs them: they see it. */
const counted = () => items.filter(({ entry, after }) => !globalThis.openEntry || ![entry, after].includes(globalThis.openEntry.entry));

function words() {
  const kept = counted();
  const needs = kept.filter((item) => item.state !== "waiting").length;
  const unnamed = kept.filter((item) => item.state === "waiting" && item.unconfirmed);
  const waiting = kept.filter((item) => item.state === "waiting");
  const mine = state.isChecked ? unnamed.filter((item) => item.author === state.person && !item.after).length : 0;
  const others = [...new Set(waiting.filter((item) => item.author !== state.person).map((item) => item.author))];
  const parts = [];
  const pictures = waiting.filter((item) => item.after).length;
  const ofThese = pictures ? ` (${pictures === 1 ? "1 photo" : `${pictures} photos`})` : "";
  if (waiting.length) parts.push(`${waiting.length} waiting to send${ofThese}`);
  if (needs) parts.push(`${needs} ${needs === 1 ? "needs" : "need"} you`);
  if (state.isStoreRefused) return { icon: "notcoping", strong: "This browser keeps nothing", small: "Each entry goes straight to the server; without network it cannot be saved." };
  if (!parts.length) {
    if (!globalThis.isSecureContext) return { icon: "notknown", strong: state.sent ? `${state.sent} sent` : "Online only", small: "Entries go straight to the server; without network no page opens here and nothing is sure to be kept, because the address is not https.", url: "secure" };
    return { icon: "sent", strong: "All sent", small: state.sent ? `${state.sent} since this page was opened` : "", isQuiet: true };
  }
  const asks = kept.some((item) => item.state === "needs-you" && item.answers?.length);
  let small = waiting.length ? since(waiting[0].at) : asks ? "The server has a question about what was kept." : "The server would not take what was kept.";
  if (waiting.length && state.isSignedOut) small = "Sign in to send.";
  else if (mine) small = `${mine} kept under your name without a PIN: say whether ${mine === 1 ? "it is" : "they are"} yours.`;
  else if (unnamed.length && unnamed.length === waiting.length && state.problem !== "unreached") small = `Waits for ${[...new Set(unnamed.map((item) => item.author))].join(", ")} to confirm the name.`;
  else if (waiting.length && others.length && state.problem !== "unreached") small = `Waits for ${others.join(", ")} to sign in here.`;
  else if (waiting.length && Date.now() - Date.parse(waiting[0].at) > LONG_H * 3_600_000) small = `${since(waiting[0].at)}: bring it into reach of the network, or download what is unsent.`;
  return { icon: "waiting", strong: parts.join(", "), small, needs: needs || mine, waiting: waiting.length };
}

function fill(place, said) {
  const link = document.createElement("a");
  link.href = place.dataset[said.url === "secure" ? "secureUrl" : "url"] ?? "/device/outbox/";
  const icon = `<svg class="shape" aria-hidden="true"><use href="#${said.icon}"/></svg>`;
  link.innerHTML = icon;
  const strong = document.createElement("strong");
  strong.textContent = said.strong;
  const small = document.createElement("small");
  small.textContent = said.small;
  link.append(strong, " ", small);
  if (place.textContent !== link.textContent) place.replaceChildren(link); /* said again only when it changed */
  place.classList.toggle("is-quiet", Boolean(said.isQuiet));
  place.classList.toggle("needs-you", Boolean(said.needs));
}

function warnOfClock() {
  let banner = document.querySelector("[data-clock-off]");
  if (!clock.isFarOff) return banner?.remove();
  if (!banner) {
    banner = document.createElement("p");
    banner.className = "clock-off";
    banner.setAttribute("role", "alert");
    banner.dataset.clockOff = "";
    document.querySelector("main")?.prepend(banner);
  }
  const minutes = Math.round(Math.abs(clock.offsetS) / 60);
  const far = minutes < 120 ? `${minutes} minutes` : `${Math.round(minutes / 60)} hours`;
  const text = `This tablet’s clock is ${far} ${clock.offsetS > 0 ? "ahead of" : "behind"} the server’s. Times of entries are put right and marked; please set the clock.`;
  if (banner.textContent !== text) banner.textContent = text;
}

/* Served by the service worker: the page is as old as it says. */
function sayAge() {
  const { keptAt } = document.body.dataset;
  if (!keptAt || document.querySelector(".kept-page:not(.acting)")) return;
  const note = document.createElement("p");
  note.className = "kept-page";
  note.setAttribute("role", "status");
  note.textContent = `The server was not reached: this page is as it was ${isToday(keptAt) ? "at" : `on ${day(keptAt)},`} ${time(keptAt)}.`;
  document.querySelector("main")?.prepend(note);
}

async function render() {
  try {
    items = await outbox.list();
  } catch {
    state.isStoreRefused = true;
  }
  const said = words();
  for (const place of document.querySelectorAll("[data-unsent]")) fill(place, said);
  warnOfClock();
}

document.addEventListener("outbox:changed", render);
document.addEventListener("htmx:afterSwap", render);
document.addEventListener("submit", (event) => {
  if (!event.target.matches('form[action$="/sign-out/"]') || !items.length) return;
  const n = items.length === 1 ? "1 entry is" : `${items.length} entries are`;
  if (!confirm(`${n} not sent yet. They stay on this tablet and are sent when their author is here again. Leave now?`)) event.preventDefault();
});
render();

sayAge();

/* The shell for days without network: registered here, since only those who log need it. */
if (globalThis.isSecureContext) {
  navigator.serviceWorker?.register("/service-worker.js").then(() => navigator.serviceWorker.ready).then(({ active }) => {
    active?.postMessage({ keep: document.body.dataset.person });
  }, () => {});
}

/* What has reached the server makes the kept round an old one: without network it would ask once more for a meal that was given. */
const renewRound = () => navigator.serviceWorker?.controller?.postMessage({ renew: true });
let told = state.sent;
document.addEventListener("outbox:changed", () => {
  if (state.sent === told) return;
  told = state.sent;
  renewRound();
});
document.addEventListener("htmx:afterRequest", ({ detail }) => { /* undone: not by way of the outbox */
  if (detail.successful && detail.requestConfig?.verb !== "get") renewRound();
});
