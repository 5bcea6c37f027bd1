/* A keypad of our own for figures, so that the tablet's does not cover half the page. Fields, in order: [data-keyed]. */
function start(form) {
  const pad = form.querySelector("[data-keys]");
  const fields = [...form.querySelectorAll("[data-keyed]")];
  if (!pad || !fields.length || pad.dataset.started) return;
  pad.dataset.started = "1";
  pad.hidden = false;
  let jumpedFrom = null;
  let isAnew = false; /* Next has come to a figure that stands: a digit begins it anew, it does not make 88 into 889 */
  let current = fields.find((field) => field.ariaInvalid === "true") ?? fields.find((field) => !field.value) ?? fields[0];

  const mark = () => fields.forEach((field) => field.classList.toggle("is-next", field === current));
  const changed = () => current.dispatchEvent(new Event("input", { bubbles: true }));
  for (const field of fields) {
    field.inputMode = "none";
    field.addEventListener("focus", () => { current = field; jumpedFrom = null; isAnew = false; mark(); });
  }

  /* No depth is deeper than the void: once no further digit can follow, the next field is on, without a tap of its own. */
  const most = Number(form.querySelector(".section-pipe")?.dataset.void) || Infinity;
  const isFull = () => /^\d+$/.test(current.value) && Number(current.value) * 10 > most;
  function stepBack() { /* a point or a rubbing out right after the jump is meant for the field before */
    if (jumpedFrom && !current.value) current = jumpedFrom;
    jumpedFrom = null;
  }

  const acts = {
    next() {
      current = fields[(fields.indexOf(current) + 1) % fields.length];
      (current.closest("[data-row]") ?? current).scrollIntoView({ block: "nearest" });
    },
    back() { stepBack(); current.value = current.value.startsWith("≥") ? "" : current.value.slice(0, -1); },
    clear() { current.value = ""; },
    grid() { current.value = `≥ ${form.querySelector(".section-pipe")?.dataset.void ?? ""}`.trim(); },
    note() {
      const note = form.querySelector("[data-noting]");
      note.open = true;
      note.querySelector("textarea").focus();
    },
    letters() { /* for a unit: "8.4 oz" */
      current.inputMode = "text";
      current.blur();
      current.focus();
    },
  };
  pad.addEventListener("click", ({ target }) => {
    const key = target.closest("button")?.dataset.key;
    if (!key) return;
    if (key === ".") stepBack();
    const isThere = key === "next" && jumpedFrom && !current.value; /* the jump was that tap */
    if (key === "next") jumpedFrom = null;
    if (isThere) return;
    if (acts[key]) acts[key]();
    else if (isAnew || current.value.startsWith("≥")) current.value = key;
    else if (current.value.length < 8) current.value += key;
    isAnew = key === "next" && current.value !== "";
    if (key !== "note") changed();
    if (/\d/.test(key)) {
      const after = fields[fields.indexOf(current) + 1];
      jumpedFrom = after && !after.value && isFull() ? current : null;
      if (jumpedFrom) acts.next();
    }
    mark();
  });
  for (const field of fields) {
    field.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || field === fields.at(-1)) return;
      event.preventDefault();
      acts.next();
      current.focus();
    });
  }
  mark();
  watchBar();
}

/* The bar at the foot grows with what it says; the keypad stands on it. */
let watching = null;
function watchBar() {
  const bar = document.querySelector(".counter");
  if (!bar || bar === watching) return;
  watching = bar;
  new ResizeObserver(() => document.documentElement.style.setProperty("--bar-height", `${bar.offsetHeight}px`)).observe(bar);
}

const startAll = (root) => {
  for (const form of root.querySelectorAll("form:has([data-keys])")) start(form);
  if (root.matches?.("form:has([data-keys])")) start(root);
};
startAll(document);
document.addEventListener("htmx:load", (event) => startAll(event.detail.elt));
