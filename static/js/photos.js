/* Photos that go with an entry: taken or chosen, made small here, looked at, and kept in the outbox behind their entry.
   The picture is drawn anew, so nothing of the camera's own data (place, device) goes along. Without this file the form sends them as they are. */
const LONGEST_PX = 1600;
const QUALITY = 0.82;
const MOST = 6;

const taken = new WeakMap(); /* form -> [{entry, at, blob, caption}], not yet in the outbox */
let kept = []; /* photos in the outbox behind the entry whose form is open: saved before, and refused or opened to be changed */

const partOf = (form) => form.querySelector("[data-photos]");
const takenOf = (form) => taken.get(form) ?? [];
const pathOf = (url) => new URL(url, location.href).pathname;
const addressOf = (form, item) => `/entries/${partOf(form).dataset.photos}/${item.entry}/photos/`;

function keptOf(form) {
  const open = globalThis.openEntry;
  if (!open || pathOf(form.action) !== pathOf(open.url)) return [];
  const own = new Set(takenOf(form).map((photo) => photo.entry));
  return kept.filter((item) => item.after === open.entry && !own.has(item.entry));
}

async function small(file) {
  const picture = await createImageBitmap(file); /* upright, as the camera was held */
  const share = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * share));
  canvas.height = Math.max(1, Math.round(picture.height * share));
  const pen = canvas.getContext("2d", { alpha: false });
  pen.imageSmoothingQuality = "high";
  pen.fillStyle = "#fff"; /* for what is see-through */
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((resolve) => { canvas.toBlob(resolve, "image/jpeg", QUALITY); });
  if (!blob) throw new Error("no picture");
  return blob;
}

function say(form, words) {
  const place = partOf(form).querySelector(".wrong");
  place.textContent = words;
  place.hidden = !words;
}

async function take(form, files) {
  say(form, "");
  for (const file of files) {
    if (takenOf(form).length + keptOf(form).length >= MOST) {
      say(form, `${MOST} photos are enough for one entry.`);
      break;
    }
    try {
      const photo = { entry: newEntry(), at: new Date().toISOString(), blob: await small(file), caption: "" };
      taken.set(form, [...takenOf(form), photo]);
    } catch {
      say(form, "This browser cannot read that picture. Set the camera to JPEG; on an iPad: Settings, Camera, Formats, “Most Compatible”.");
    }
  }
  show(form);
}

/* What is seen of them ----------------------------------------------------------------------------------------------- */
function rowOf(form, photo, n, { remove, blob }) {
  const row = document.createElement("li");
  row.dataset.photo = photo.entry;
  const img = Object.assign(document.createElement("img"), { alt: `Photo ${n}, not sent yet`, src: URL.createObjectURL(blob) });
  img.addEventListener("load", () => URL.revokeObjectURL(img.src), { once: true });
  const words = document.createElement("label");
  words.textContent = "What it shows";
  const caption = Object.assign(document.createElement("input"), { type: "text", maxLength: 200, autocomplete: "off", value: photo.caption ?? photo.said });
  caption.disabled = !("caption" in photo); /* kept already: as it was */
  caption.addEventListener("input", () => { photo.caption = caption.value; });
  words.append(caption);
  const button = Object.assign(document.createElement("button"), { type: "button", className: "button", textContent: "Remove" });
  const which = Object.assign(document.createElement("span"), { className: "unseen", textContent: ` photo ${n}` });
  button.append(which);
  button.addEventListener("click", async () => {
    await remove();
    show(form);
    partOf(form).querySelector(".photo-input").focus();
  });
  row.append(img, words, button);
  return row;
}

async function forget(photo) {
  await outbox.remove(photo.entry);
  kept = kept.filter((each) => each !== photo);
  sendOutbox.changed();
}

function show(form) {
  const part = partOf(form);
  if (!part) return;
  const list = part.querySelector(".photo-list");
  const fresh = takenOf(form);
  const earlier = keptOf(form);
  const all = [...earlier, ...fresh];
  part.querySelector('[name="photos"]').value = all.length ? String(all.length) : "";
  part.querySelector(".photo-words").textContent = all.length ? "Another photo" : "Take a photo";
  list.hidden = !all.length;
  if ([...list.children].map((row) => row.dataset.photo).join() === all.map((photo) => photo.entry).join()) return;
  list.replaceChildren(...all.map((photo, n) => (fresh.includes(photo)
    ? rowOf(form, photo, n + 1, { blob: photo.blob, remove: () => taken.set(form, takenOf(form).filter((each) => each !== photo)) })
    : rowOf(form, photo, n + 1, { blob: photo.fields.find(([name]) => name === "photo")[1], remove: () => forget(photo) }))));
}

const forms = () => [...document.querySelectorAll("form:has([data-photos])")];

async function showKept() {
  const open = globalThis.openEntry;
  kept = open && globalThis.outbox ? (await outbox.list().catch(() => [])).filter((item) => item.after === open.entry) : [];
  forms().forEach(show);
}

/* For entry.js ------------------------------------------------------------------------------------------------------- */
globalThis.photos = {
  said(form) {
    const n = partOf(form) ? takenOf(form).length + keptOf(form).length : 0;
    return n ? (n === 1 ? "1 photo" : `${n} photos`) : "";
  },
  /* The items that go behind this entry. */
  of(form, item) {
    return takenOf(form).map(({ entry, at, blob, caption }) => ({
      entry, at, after: item.entry, url: addressOf(form, item), page: "", label: `Photo: ${item.label}`, said: caption,
      fields: [["photo", blob], ["caption", caption]], author: item.author, unconfirmed: item.unconfirmed, offset_s: item.offset_s, state: "waiting", problem: "", tries: 0,
    }));
  },
  /* The entry takes the place of another one: so do its photos. */
  async follow(form, old, item) {
    for (const each of await outbox.list()) {
      if (each.after === old) await outbox.mark(each.entry, { after: item.entry, url: addressOf(form, item), author: item.author, unconfirmed: item.unconfirmed, state: "waiting", problem: "" });
    }
  },
  move(from, to) {
    if (from === to || !partOf(to)) return;
    taken.set(to, takenOf(from));
    show(to);
  },
  sayLost(words) {
    document.querySelector(".photo-lost")?.remove();
    const note = document.createElement("div");
    note.className = "photo-lost";
    note.setAttribute("role", "alert");
    const said = Object.assign(document.createElement("p"), { textContent: words });
    const shut = Object.assign(document.createElement("button"), { type: "button", className: "button", textContent: "I have seen it" });
    shut.addEventListener("click", () => note.remove());
    note.append(said, shut);
    document.querySelector("main").prepend(note);
  },
};

document.addEventListener("change", ({ target }) => {
  if (!target.matches?.(".photo-input") || !target.files.length) return;
  const files = [...target.files];
  target.value = ""; /* the same picture may be taken off and chosen again; and it goes by the outbox, not with the form */
  take(target.form, files);
});
document.addEventListener("reset", ({ target }) => {
  taken.delete(target);
  if (partOf(target)) setTimeout(() => show(target));
});
document.addEventListener("outbox:changed", showKept);
document.addEventListener("htmx:afterSwap", showKept);
showKept();
