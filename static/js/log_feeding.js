/* Steppers and "same as last time". Without this file the amounts are typed, and the link fills them in by a reload. */
const number = (text) => Number(String(text).replace(",", ".").replace("½", ".5")) || 0;
const shown = (value) => String(Math.round(value * 100) / 100);

/* One tap of + is one piece; grams go by the size of the last meal. */
function stepOf(food) {
  const unit = food.querySelector(".units input:checked")?.value ?? "g";
  if (unit !== "g") return 1;
  return number(food.dataset.last) >= 20 ? 5 : 1;
}

function start(form) {
  if (form.dataset.started) return;
  form.dataset.started = "1";
  for (const button of form.querySelectorAll("[data-step]")) button.hidden = false;
  form.addEventListener("click", (event) => {
    const button = event.target.closest("[data-step]");
    if (button) {
      const food = button.closest("[data-food]");
      const field = food.querySelector(".stepper input");
      const next = Math.max(0, number(field.value) + Number(button.dataset.step) * stepOf(food));
      field.value = next ? shown(next) : "";
      return;
    }
    const same = event.target.closest("[data-same]");
    if (!same) return;
    event.preventDefault();
    for (const food of form.querySelectorAll("[data-food]")) {
      food.querySelector(".stepper input").value = food.dataset.sameAmount ? shown(number(food.dataset.sameAmount)) : "";
      const unit = [...food.querySelectorAll(".units input")].find((input) => input.value === food.dataset.sameUnit);
      if (unit) unit.checked = true;
    }
  });
}

const startAll = (root) => {
  for (const form of root.querySelectorAll("form[data-feeding]")) start(form);
  if (root.matches?.("form[data-feeding]")) start(root);
};
startAll(document);
document.addEventListener("htmx:load", (event) => startAll(event.detail.elt));
