/* Draws the charts of a page. A chart is <div data-figure="id"></div> beside <script type="application/json" id="id">; the table
   of the same readings stays in the page for those who cannot see or run it. Colours in the JSON are names of custom properties,
   "var(--sludge)", looked up here, so a chart follows day and night. */
(() => {
  "use strict";

  const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
  const PRINTED = 660; // px: what fits a sheet of A4
  const NARROW = 560; // px: below it words in the right margin give way
  const SAFE = { showSendToCloud: false, displaylogo: false, plotlyServerURL: "" };
  const boxes = () => document.querySelectorAll("[data-figure]");

  /* A property's value may itself be light-dark(...): the browser works it out on a probe. */
  function palette(isPrint) {
    const probe = document.createElement("span");
    probe.hidden = true;
    if (isPrint) probe.style.setProperty("color-scheme", "light"); // paper is never dark
    document.body.append(probe);
    const seen = new Map();
    const style = getComputedStyle(document.documentElement);
    const look = (name) => {
      if (!seen.has(name)) {
        probe.style.setProperty("color", `var(${name})`);
        const isFont = name === "--narrow" || name === "--sans";
        seen.set(name, isFont ? style.getPropertyValue(name).trim() : getComputedStyle(probe).color);
      }
      return seen.get(name);
    };
    return { look, done: () => probe.remove() };
  }

  function painted(value, look) {
    if (typeof value === "string") {
      const named = /^var\((--[\w-]+)\)$/.exec(value);
      return named ? look(named[1]) : value;
    }
    if (Array.isArray(value)) return value.map((item) => painted(item, look));
    if (value && typeof value === "object") {
      return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, painted(item, look)]));
    }
    return value;
  }

  /* At most five ticks, the year said again whenever it is another. */
  function thinned(axis) {
    const days = axis.tickvals || [];
    if (days.length <= 5 || axis.type !== "date") return axis;
    const every = Math.ceil(days.length / 5);
    const tickvals = days.filter((_, i) => i % every === 0);
    const words = tickvals.map((day, i) => {
      const [year, month] = day.split("-");
      const isSaid = i > 0 && tickvals[i - 1].startsWith(year);
      return isSaid ? MONTHS[month - 1] : `${MONTHS[month - 1]} ${year}`;
    });
    return { ...axis, tickvals, ticktext: words };
  }

  /* Room for the chart itself on a phone: no words in the margin, fewer ticks. */
  function fitted(layout, width) {
    if (width >= NARROW) return layout;
    return {
      ...layout,
      xaxis: thinned(layout.xaxis || {}),
      margin: { ...layout.margin, r: 12 },
      annotations: (layout.annotations || []).filter((note) => note.name !== "wide"),
    };
  }

  async function draw(box, look, isPrint) {
    const source = document.getElementById(box.dataset.figure);
    if (!source || !window.Plotly) return;
    try {
      const figure = painted(JSON.parse(source.textContent), look);
      const layout = fitted(figure.layout, isPrint ? PRINTED : box.clientWidth);
      Object.assign(layout, isPrint ? { autosize: false, width: PRINTED } : { autosize: true });
      await window.Plotly.react(box, figure.data, layout, { ...figure.config, ...SAFE });
      box.dataset.drawn = "true";
    } catch {
      box.dataset.drawn = "false"; // the table under it still says everything
      box.hidden = true;
    }
  }

  async function drawAll(isPrint = false) {
    const { look, done } = palette(isPrint);
    await Promise.all([...boxes()].map((box) => draw(box, look, isPrint)));
    done();
  }

  let waiting = 0;
  function soon() {
    window.clearTimeout(waiting);
    waiting = window.setTimeout(() => drawAll(), 120);
  }

  document.addEventListener("DOMContentLoaded", () => drawAll());
  window.addEventListener("beforeprint", () => drawAll(true));
  window.addEventListener("afterprint", soon);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", soon);
  new MutationObserver(soon).observe(document.documentElement, { attributeFilter: ["data-scheme"] });
  const sides = () => [...boxes()].map((box) => box.clientWidth < NARROW).join();
  let wide = "";
  window.addEventListener("resize", () => {
    if (sides() !== wide) {
      wide = sides();
      soon();
    }
  });
  document.addEventListener("htmx:afterSwap", soon);
})();
