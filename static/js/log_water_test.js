/* The steps of the chosen kit, and one reading only: a tapped step clears the typed figure, and the other way round. */
function start(form) {
  if (form.dataset.started) return;
  form.dataset.started = "1";
  const refresh = (analyte) => {
    const chosen = analyte.querySelector(".source input:checked");
    for (const steps of analyte.querySelectorAll("[data-source]")) steps.hidden = steps.dataset.source !== chosen?.value;
    for (const name of analyte.querySelectorAll(".steps-of")) name.hidden = true; /* the chosen kit stands above already */
    const words = analyte.querySelector("[data-source-words]");
    if (words && chosen) words.textContent = chosen.closest("label").textContent.trim();
  };
  for (const analyte of form.querySelectorAll("[data-analyte]")) {
    refresh(analyte);
    const typed = analyte.querySelector(".with-unit input");
    const steps = [...analyte.querySelectorAll(".steps input")];
    analyte.addEventListener("change", ({ target }) => {
      if (target.closest(".source")) {
        refresh(analyte);
        for (const step of steps) if (step.closest("[data-source]").hidden) step.checked = false;
        analyte.querySelector(".source").open = false;
      }
      if (steps.includes(target)) typed.value = "";
    });
    typed.addEventListener("input", () => { for (const step of steps) step.checked = false; });
  }
}

const startAll = (root) => {
  for (const form of root.querySelectorAll("form[data-water]")) start(form);
  if (root.matches?.("form[data-water]")) start(root);
};
startAll(document);
document.addEventListener("htmx:load", (event) => startAll(event.detail.elt));
