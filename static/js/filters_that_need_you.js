// The list looks again each minute while somebody can see it, and at once when the tab comes back.
"use strict";
{
  const EVERY_MS = 60_000;
  let looked = Date.now();
  const look = () => {
    const rows = document.getElementById("filters-rows");
    if (!rows || document.visibilityState !== "visible" || Date.now() - looked < EVERY_MS) return;
    looked = Date.now();
    htmx.trigger(rows, "look-again");
  };
  setInterval(look, 5_000);
  document.addEventListener("visibilitychange", look);
}
