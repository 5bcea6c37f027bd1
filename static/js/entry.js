/* Every log form: an id for each entry, the tablet's own time, one send at a time, and nothing typed is ever lost.
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

function hidden(form, name) {
  let input = form.querySelector(`input[type="hidden"][name="${name}"]`);
  if (!input) {
    input = document.createElement("input");
    input.type = "hidden";
    input.name = name;
    form.append(input);
  }
  return input;
}

/* The id and the time of the tap are made once and kept through every try: a retry must say the same. */
function stamp(form) {
  const entry = hidden(form, "entry");
  if (!entry.value) {
    entry.value = newEntry();
    hidden(form, "device_at").value = new Date().toISOString();
  }
  hidden(form, "sent_at").value = new Date().toISOString();
  const token = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1];
  const field = form.elements.csrfmiddlewaretoken;
  if (token && field) field.value = token; /* signing in again, in another tab, changes it */
}

function say(form, strong, small = "", { isWrong = false, link = null } = {}) {
  form.querySelector(".counter .undone")?.remove();
  const status = form.querySelector("[data-status]") ?? document.querySelector("[data-status]");
  if (!status) return;
  status.classList.toggle("is-wrong", isWrong);
  const head = document.createElement("strong");
  head.textContent = strong;
  const rest = document.createElement("small");
  rest.textContent = small;
  if (link) {
    const a = document.createElement("a");
    a.href = link.href;
    a.target = "_blank";
    a.textContent = link.text;
    rest.append(" ", a);
  }
  status.replaceChildren(head, rest);
}

const formOf = (event) => (event.detail?.elt?.matches?.("form[data-entry]") ? event.detail.elt : null);

document.addEventListener("click", ({ target }) => { /* both happened: what is typed becomes an entry of its own */
  const form = target.closest("[data-anew]")?.closest("form[data-entry]");
  if (form) hidden(form, "entry").value = "";
}, true);

document.addEventListener("submit", (event) => {
  const form = event.target.closest("form[data-entry]");
  if (!form) return;
  if (form.dataset.sending) { /* the second tap of a double tap */
    event.preventDefault();
    event.stopImmediatePropagation();
    return;
  }
  stamp(form);
  if (!form.hasAttribute("hx-post") || !window.htmx) form.dataset.sending = "1";
}, true);
addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sending]")) delete form.dataset.sending;
});

document.addEventListener("htmx:beforeRequest", (event) => {
  const form = formOf(event);
  if (!form) return;
  form.dataset.sending = "1";
  form.inert = true;
  say(form, "Saving …");
});
document.addEventListener("htmx:configRequest", (event) => {
  const token = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1];
  if (token) event.detail.headers["x-csrftoken"] = token;
});
document.addEventListener("htmx:afterRequest", (event) => {
  const form = formOf(event);
  if (!form) return;
  form.inert = false;
  delete form.dataset.sending;
});
for (const failure of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(failure, (event) => {
    const form = formOf(event);
    if (form) say(form, "Not sent", "The server was not reached. All is still here: try again.", { isWrong: true });
  });
}

/* Delivered only when the answer names the entry: the sign-in page answers 200 as well. */
document.addEventListener("htmx:beforeSwap", (event) => {
  const form = formOf(event);
  if (!form) return;
  const { xhr } = event.detail;
  if (xhr.status === 409) { /* said above the form, which keeps what was typed */
    event.detail.target = form.querySelector("[data-conflict]");
    event.detail.swapOverride = "innerHTML";
    event.detail.shouldSwap = true;
    event.detail.isError = false;
    say(form, "Not saved");
    return;
  }
  if (xhr.status === 422) return;
  if (xhr.status < 300 && xhr.getResponseHeader("X-Entry") === hidden(form, "entry").value) return;
  event.detail.shouldSwap = false;
  if (xhr.status < 300 || xhr.status === 401) {
    const link = { href: new URL(xhr.responseURL || "/", location.href).pathname, text: "Sign in on another tab, then save again." };
    say(form, "Signed out", "All is still here.", { isWrong: true, link });
  } else if (xhr.status === 403) {
    say(form, "Not saved", "Reload the sign-in in another tab, or ask who may enter this. All is still here.", { isWrong: true });
  } else {
    say(form, "Not saved", `The server could not (${xhr.status}). All is still here: try again.`, { isWrong: true });
  }
});

document.addEventListener("htmx:afterSwap", () => {
  const first = document.querySelector("#entry-conflict") ?? document.querySelector(".problem") ?? document.querySelector("#saved [data-focus], [data-focus]");
  if (!first) return;
  first.focus({ preventScroll: true });
  first.scrollIntoView({ block: "start" });
});
