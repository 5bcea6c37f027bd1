/* The change since last time, as each mass is typed. */
const read = (text) => (/^[\d.,\s]+$/.test(text) ? Number(text.replace(/\s/g, "").replace(",", ".")) : NaN);

function show(row) {
  const last = Number(row.dataset.last);
  const mass = read(row.querySelector(".with-unit input").value);
  const change = last && mass ? Math.round((mass / last - 1) * 100) : null;
  const sign = change === null ? "" : change < 0 ? "−" : change > 0 ? "+" : "±";
  row.querySelector("[data-change]").textContent = change === null ? "" : `${sign}${Math.abs(change)}\u00a0%`;
}

document.addEventListener("input", ({ target }) => {
  const row = target.closest("[data-row]");
  if (row) show(row);
});
const showAll = (root) => { for (const row of root.querySelectorAll("[data-row]")) show(row); };
showAll(document);
document.addEventListener("htmx:load", (event) => showAll(event.detail.elt));
