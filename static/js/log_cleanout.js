/* The button says which half it saves; a rod at the grid is one tap. */
function start(form) {
  const save = form.querySelector("[data-save]");
  const isFinishing = form.querySelector('[name="first_half"]') !== null;
  const show = () => {
    const done = isFinishing || form.querySelector('[name="finished"]:checked')?.value === "yes";
    save.textContent = done ? "Save the cleanout" : "Save the first half";
  };
  for (const button of form.querySelectorAll("[data-grid]")) {
    button.hidden = !button.dataset.grid;
    button.addEventListener("click", () => { button.closest("fieldset").querySelector("input").value = button.dataset.grid; });
  }
  form.addEventListener("change", show);
  show();
}

const startAll = (root) => {
  for (const form of root.querySelectorAll("form[data-cleanout]")) start(form);
  if (root.matches?.("form[data-cleanout]")) start(root);
};
startAll(document);
document.addEventListener("htmx:load", (event) => startAll(event.detail.elt));
