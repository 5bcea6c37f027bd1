/* Common shares of the water, one tap each. */
document.addEventListener("click", ({ target }) => {
  const litres = target.closest("[data-litres]")?.dataset.litres;
  if (litres) target.closest("form").elements.volume_l.value = litres;
});
const show = (root) => { for (const shares of root.querySelectorAll("[data-shares]")) shares.hidden = false; };
show(document);
document.addEventListener("htmx:load", (event) => show(event.detail.elt));
