/* A watch in the form: start, stop, save. Flow and its share of the baseline are said as soon as they are known. */
const number = (field) => Number(field?.value.replace(",", ".").trim() || NaN);
const grouped = (value) => Math.round(value).toLocaleString("en-GB").replaceAll(",", "\u202f");

function start(form) {
  if (form.dataset.started) return;
  form.dataset.started = "1";
  const [litres, seconds, meter] = ["litres", "seconds", "flow_l_per_h"].map((name) => form.elements[name]);
  const button = form.querySelector("[data-watch]");
  const say = Object.fromEntries([...form.querySelectorAll("[data-say]")].map((el) => [el.dataset.say, el]));
  const baseline = Number(form.dataset.baseline) || null;
  let began = null;
  let ticking = null;

  function show() {
    const flow = meter.value.trim() ? number(meter) : (number(litres) / number(seconds)) * 3600;
    const isOpen = !(flow >= 0) || !Number.isFinite(flow);
    say.share.classList.toggle("is-open", isOpen);
    if (isOpen) {
      say.share.textContent = "–";
      say.words.textContent = "Bucket and seconds, or the meter’s figure.";
      return;
    }
    say.share.textContent = baseline ? `${Math.round((flow / baseline) * 100)}\u00a0%` : `${grouped(flow)}\u00a0L/h`;
    say.words.textContent = baseline ? `${grouped(flow)}\u00a0L/h, of the baseline ${grouped(baseline)}\u00a0L/h.` : "No baseline to hold it against.";
  }

  const elapsed = () => (performance.now() - began) / 1000;
  button.hidden = false;
  button.addEventListener("click", () => {
    if (began === null) {
      began = performance.now();
      seconds.value = "";
      button.classList.add("is-running");
      ticking = setInterval(() => { button.textContent = `Stop at ${elapsed().toFixed(1)} s`; }, 100);
      return;
    }
    clearInterval(ticking);
    seconds.value = elapsed().toFixed(1);
    began = null;
    button.classList.remove("is-running");
    button.textContent = "Start again";
    show();
  });
  form.addEventListener("input", show);
  show();
}

const startAll = (root) => {
  for (const form of root.querySelectorAll("form[data-flow]")) start(form);
  if (root.matches?.("form[data-flow]")) start(root);
};
startAll(document);
document.addEventListener("htmx:load", (event) => startAll(event.detail.elt));
