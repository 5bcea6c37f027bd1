/* The drawing answers each figure: the rod stands on the sludge, and the fill is said at once. Without this file the three
   fields and Save still work, and the server asks the same questions. */
const read = (field) => Number(field.value.replace(/[≥>=\s]/g, "").replace(",", "."));

function start(form) {
  if (form.dataset.started) return;
  form.dataset.started = "1";
  const fields = [...form.querySelectorAll("[data-keyed]")];
  const drawing = form.querySelector(".section-pipe");
  if (!drawing) return;
  const [scale, floor, voidMm, due] = ["scale", "floor", "void", "due"].map((name) => Number(drawing.dataset[name]));
  const sludge = drawing.querySelector("[data-sludge]");
  const rod = drawing.querySelector("[data-rod]");
  const say = Object.fromEntries([...form.querySelectorAll("[data-say]")].map((el) => [el.dataset.say, el]));
  const ask = form.querySelector("[data-ask]");
  const before = { y: sludge.getAttribute("y"), height: sludge.getAttribute("height"), rod: rod.getAttribute("transform") };

  function question(field) {
    ask.hidden = !field || Boolean(form.querySelector(`#${field.id}_error.ask`)); /* the server has asked already */
    if (ask.hidden) return;
    const depth = read(field);
    const tenth = Math.round(depth) / 10;
    const ways = [[`Use ${tenth} mm`, `${tenth}`], ["Rod at the grid", `≥ ${voidMm}`]].filter(([, text]) => text.startsWith("≥") || tenth <= voidMm);
    const guess = tenth <= voidMm ? ` Did you mean ${tenth} mm?` : "";
    ask.querySelector("p").textContent = `${depth} mm is more than the void (${voidMm} mm).${guess}`;
    ask.querySelector(".ways").replaceChildren(...ways.map(([label, text]) => {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "button";
      button.textContent = label;
      button.addEventListener("click", () => { field.value = text; show(); });
      return button;
    }));
  }

  function show() {
    const given = fields.filter((field) => field.value.trim() !== "" && !Number.isNaN(read(field)));
    const tooDeep = given.find((field) => read(field) > voidMm);
    const sound = given.filter((field) => field !== tooDeep);
    question(tooDeep);
    say.fill.classList.toggle("is-open", !sound.length);
    if (!sound.length) {
      sludge.setAttribute("y", before.y);
      sludge.setAttribute("height", before.height);
      rod.setAttribute("transform", before.rod);
      say.fill.textContent = "–";
      say.words.textContent = "Three readings, please.";
      return;
    }
    const mean = sound.reduce((sum, field) => sum + read(field), 0) / sound.length;
    const isAtGrid = sound.some((field) => /[≥>]/.test(field.value));
    const top = Math.min(mean, voidMm) * scale;
    sludge.setAttribute("y", floor - top);
    sludge.setAttribute("height", top);
    rod.setAttribute("transform", `translate(0 ${-top})`);
    say.fill.textContent = `${isAtGrid ? "≥\u00a0" : ""}${Math.round((mean / voidMm) * 100)}\u00a0%`;
    const side = mean / voidMm >= due ? "past" : "under";
    const of = sound.length > 1 ? `, mean of ${sound.length}` : "";
    say.words.textContent = `${Math.round(mean)}\u00a0mm${of}; ${side} the due line at ${Math.round(due * voidMm)}\u00a0mm.`;
  }

  form.addEventListener("input", ({ target }) => {
    if (!fields.includes(target)) return;
    form.querySelector(`#${target.id}_error`)?.remove();
    show();
  });
  show();
}

const startAll = (root) => {
  for (const form of root.querySelectorAll("form[data-sounding]")) start(form);
  if (root.matches?.("form[data-sounding]")) start(root);
};
startAll(document);
document.addEventListener("htmx:load", (event) => startAll(event.detail.elt));
