/* Who is at this tablet. With network that is who signed in. Without it no PIN can be checked, so a person picks a name, and what
   they log is kept under it as not yet confirmed. It ends with the next sign-in here: each has its own `sitting`. */
const ACTING = "acting";
const SITTING = "sitting";
const signedIn = document.body.dataset.person ?? "";

function acting() {
  try {
    return JSON.parse(localStorage.getItem(ACTING));
  } catch {
    return null;
  }
}

function end() {
  localStorage.removeItem(ACTING);
  show();
}

const confirmUrl = (person) => `/person/?${new URLSearchParams({ person, next: location.pathname })}`;

function banner() {
  const note = document.createElement("p");
  note.className = "kept-page acting";
  note.setAttribute("role", "status");
  const link = Object.assign(document.createElement("a"), { href: confirmUrl(acting().person) });
  link.textContent = "Confirm with the PIN, or change person";
  const name = document.createElement("b");
  name.textContent = acting().person;
  note.append(name, ` is at this tablet; the name is not yet confirmed. What is saved here waits for ${acting().person} to confirm it. `, link);
  return note;
}

function show() {
  document.querySelector(".acting")?.remove();
  for (const place of document.querySelectorAll("[data-me]")) place.textContent = atTablet.name;
  if (acting()) document.querySelector("main")?.prepend(banner());
}

globalThis.atTablet = {
  confirmUrl,
  get name() { return acting()?.person ?? signedIn; },
  get isConfirmed() { return !acting(); },
  /* One tap, no network: from now on entries are this person's, not yet confirmed. Who is signed in needs no confirming. */
  take(person) {
    if (person === signedIn) return end();
    localStorage.setItem(ACTING, JSON.stringify({ person, over: localStorage.getItem(SITTING), at: new Date().toISOString() }));
    show();
  },
  /* A sitting that the server has named: a new one means that somebody has signed in here since. */
  seen(sitting) {
    if (!sitting) return;
    const isNew = acting() && acting().over !== sitting;
    localStorage.setItem(SITTING, sitting);
    if (isNew) end();
  },
};

const { sitting, keptAt } = document.body.dataset;
if (!keptAt) atTablet.seen(sitting);
if (acting()) show();
addEventListener("storage", ({ key }) => { if (key === ACTING) show(); });
document.addEventListener("htmx:afterSwap", () => { if (acting()) show(); });

/* The page on which a name is picked. */
document.addEventListener("click", ({ target }) => {
  const person = target.closest("[data-take]")?.dataset.take;
  if (!person) return;
  atTablet.take(person);
  location.href = "/";
});
