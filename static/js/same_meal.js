/* A second meal for the same place and meal of the day, or a second one of the same planned dose, while the first still waits on
   this device: asked here, since the server cannot. "Keep both" goes along as the id of the one that was known (`known_meal`). */
const WORDS = { am: "a morning", pm: "an evening" };
const dayOf = (at) => `${at.getFullYear()}-${String(at.getMonth() + 1).padStart(2, "0")}-${String(at.getDate()).padStart(2, "0")}`;
const clock = (at) => new Date(at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });

function ask(words) {
  const dialog = document.createElement("dialog");
  dialog.className = "ask asked";
  const text = document.createElement("p");
  text.id = "asked-words";
  text.textContent = words;
  dialog.setAttribute("aria-labelledby", text.id);
  const form = document.createElement("form");
  form.method = "dialog";
  form.className = "ways";
  for (const [value, label] of [["both", "Keep both"], ["", "Leave this one out"]]) {
    form.append(Object.assign(document.createElement("button"), { className: "button", value, textContent: label }));
  }
  dialog.append(text, form);
  document.body.append(dialog);
  dialog.showModal();
  return new Promise((resolve) => {
    dialog.addEventListener("close", () => {
      dialog.remove();
      resolve(dialog.returnValue === "both");
    });
  });
}

const isGiven = (said) => said.get("outcome") !== "not_given" && !said.get("why_not");

globalThis.sameMeal = {
  /* Place, meal and day of a form that says it is a meal, course and planned dose of one that says it is a dose; empty when it is neither. */
  keyOf(form, at, submitter) {
    const said = new FormData(form, submitter);
    const [slot, when] = [said.get("slot"), said.get("when") === "earlier" && said.get("when_on")];
    if (form.dataset.dose) return isGiven(said) && said.get("planned") ? ["dose", form.dataset.dose, said.get("planned")].join("|") : "";
    if (!form.dataset.meal || !slot || said.get("skip")) return "";
    return [form.dataset.meal, slot, when || dayOf(new Date(at))].join("|");
  },
  /* False: the person does not want this second one. */
  async mayGoOn(item, replaced) {
    if (!item.meal) return true;
    const there = await outbox.list().catch(() => []);
    const isSame = (other) => other.meal === item.meal && other.state === "waiting" && other.entry !== item.entry && other.entry !== replaced;
    const same = there.filter(isSame);
    if (!same.length) return true;
    const [place, slot] = item.meal.split("|");
    if (place === "dose") {
      if (!await ask(`A dose of ${slot} is waiting already, saved ${clock(same.at(-1).at)}. Was a second one given?`)) return false;
    } else if (!await ask(`You already have ${WORDS[slot]} meal for ${place} waiting, saved ${clock(same.at(-1).at)}. Keep both?`)) return false;
    item.fields.push(...same.map(({ entry }) => ["known_meal", entry]));
    return true;
  },
};
