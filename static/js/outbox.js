/* The store of this device for entries not yet sent: add, list, remove, mark, exportFile; nothing else.
   An entry: {entry, url, page, label, said, fields, author, at, offset_s, state, problem, tries}; `state` is
   "waiting" (to be sent), "needs-you" (the server would not take it; `problem` says why) or "held" (opened to be changed).
   A photo is an item of its own with the picture among its fields; `after` names the entry it goes behind.
   What add() and mark() promise is on the disk, not only on its way there (durability "strict"). */
const NAME = "outbox";
const STORE = "entries";
let opening = null;

function open() {
  if (opening) return opening;
  opening = new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      const store = request.result.createObjectStore(STORE, { keyPath: "seq", autoIncrement: true });
      store.createIndex("entry", "entry", { unique: true });
    };
    request.onsuccess = () => {
      const db = request.result;
      db.onversionchange = () => { db.close(); opening = null; };
      db.onclose = () => { opening = null; };
      resolve(db);
    };
    request.onerror = () => reject(request.error);
  });
  opening.catch(() => { opening = null; });
  return opening;
}

/* One transaction. A connection that was closed under the page is opened anew, once: all the work here may be done twice. */
async function inStore(mode, work, { again = true } = {}) {
  const db = await open();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = db.transaction(STORE, mode, { durability: "strict" });
      let value;
      transaction.oncomplete = () => resolve(value);
      transaction.onabort = () => reject(transaction.error ?? new DOMException("The store was closed.", "InvalidStateError"));
      work(transaction.objectStore(STORE), (result) => { value = result; });
    });
  } catch (error) {
    if (!again || error.name === "QuotaExceededError" || error.name === "DataCloneError") throw error;
    opening = null;
    return inStore(mode, work, { again: false });
  }
}

const withEntry = (store, entry, then) => {
  store.index("entry").get(entry).onsuccess = ({ target }) => then(target.result);
};

/* A picture cannot stand in JSON: it goes there as base64, and comes back as it was. */
function base64Of(blob) {
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve({ type: blob.type, base64: reader.result.slice(reader.result.indexOf(",") + 1) });
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(blob);
  });
}
async function forFile(item) {
  const fields = item.fields.map(async ([name, value]) => [name, value instanceof Blob ? await base64Of(value) : value]);
  return { ...item, fields: await Promise.all(fields) };
}

globalThis.outbox = {
  /* Keeps its place in the queue when it is there already, with what it says now. Several are kept together or not at all. */
  add(...items) {
    return inStore("readwrite", (store) => {
      for (const item of items) {
        withEntry(store, item.entry, (there) => { store.put(there ? { ...item, seq: there.seq } : item); });
      }
    });
  },
  list() {
    return inStore("readonly", (store, give) => { store.getAll().onsuccess = ({ target }) => give(target.result); });
  },
  /* True when it was there. */
  remove(entry) {
    return inStore("readwrite", (store, give) => withEntry(store, entry, (there) => {
      give(Boolean(there));
      if (there) store.delete(there.seq);
    }));
  },
  mark(entry, changes) {
    return inStore("readwrite", (store, give) => withEntry(store, entry, (there) => {
      give(Boolean(there));
      if (there) store.put({ ...there, ...changes, seq: there.seq });
    }));
  },
  async exportFile(entries = null) {
    const told = { kind: "unsent-entries", version: 1, made_at: new Date().toISOString(), server: location.origin };
    told.entries = await Promise.all((entries ?? await this.list()).map(forFile));
    const name = `unsent-entries-${told.made_at.slice(0, 16).replace(/[:T]/g, "-")}.json`;
    return new File([JSON.stringify(told, null, 1)], name, { type: "application/json" });
  },
  /* An item out of such a file. */
  fromFile(item) {
    const picture = ({ type, base64 }) => new Blob([Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0))], { type });
    return { ...item, fields: item.fields.map(([name, value]) => [name, value?.base64 ? picture(value) : String(value)]) };
  },
};
