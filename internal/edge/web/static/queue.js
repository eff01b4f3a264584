// The queue of a device: what was typed stands in the device's own store before
// it is sent, in order, and leaves it only when the server gave its receipt.
import { wait } from "./number.js";

const wanted = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

const finished = (tx) =>
  new Promise((resolve, reject) => {
    tx.oncomplete = () => resolve();
    tx.onabort = () => reject(tx.error ?? new Error("aborted"));
    tx.onerror = () => reject(tx.error);
  });

// open opens the device's store and learns the device's name.
export const open = async () => {
  const request = indexedDB.open("fettle-bench", 1);
  request.onupgradeneeded = () => {
    const db = request.result;
    db.createObjectStore("queue", { keyPath: "n" });
    db.createObjectStore("meta");
    db.createObjectStore("sheets");
  };
  const db = await wanted(request);
  db.onversionchange = () => db.close();
  const tx = db.transaction("meta", "readwrite", { durability: "strict" });
  const meta = tx.objectStore("meta");
  let device = await wanted(meta.get("device"));
  if (!device) {
    device = "d-" + [...crypto.getRandomValues(new Uint8Array(5))].map((b) => b.toString(16).padStart(2, "0")).join("");
    meta.put(device, "device");
  }
  await finished(tx);
  navigator.storage?.persist?.().catch(() => {}); // where it is refused the queue is kept all the same
  return new Store(db, device);
};

// Store is what the device keeps.
export class Store {
  constructor(db, device) {
    this.db = db;
    this.device = device;
  }

  // add numbers an item and keeps it; when it returns, the item is on the disk.
  async add(items) {
    const tx = this.db.transaction(["queue", "meta"], "readwrite", { durability: "strict" });
    const done = finished(tx);
    done.catch(() => {}); // awaited below
    let n = (await wanted(tx.objectStore("meta").get("count"))) ?? 0;
    for (const item of items) {
      n += 1;
      item.n = n;
      tx.objectStore("queue").put(item);
    }
    tx.objectStore("meta").put(n, "count");
    await done;
    return items;
  }

  all() {
    return wanted(this.db.transaction("queue").objectStore("queue").getAll());
  }

  // settle takes out what is stored and marks what was refused.
  async settle(stored, refused) {
    const tx = this.db.transaction("queue", "readwrite", { durability: "strict" });
    for (const n of stored) tx.objectStore("queue").delete(n);
    for (const item of refused) tx.objectStore("queue").put(item);
    await finished(tx);
  }

  async sheet(id) {
    return wanted(this.db.transaction("sheets").objectStore("sheets").get(id));
  }

  async keepSheet(id, sheet) {
    const tx = this.db.transaction("sheets", "readwrite");
    tx.objectStore("sheets").put(sheet, id);
    await finished(tx);
  }

  async forgetSheets(before) {
    const tx = this.db.transaction("sheets", "readwrite");
    const s = tx.objectStore("sheets");
    for (const k of await wanted(s.getAllKeys())) {
      const v = await wanted(s.get(k));
      if ((v.kept ?? 0) < before) s.delete(k);
    }
    await finished(tx);
  }
}

const most = 20; // items of one request

// Sender sends the queue, first in first out, one request at a time. Of several
// tabs one sends; the others tell it that there is something, and it tells them
// what became of it. Where tabs cannot elect one, each sends: the keys of the
// items see to it that nothing is stored twice.
export class Sender {
  // heard is told of every answer; line of "sent", "waiting" or "held".
  constructor(store, { heard, line, where }) {
    this.store = store;
    this.heard = heard;
    this.line = line;
    this.where = where; // person, component, state and position of a job, for the request
    this.tries = 0;
    this.busy = false;
    this.again = false;
    this.leads = false;
    this.channel = "BroadcastChannel" in window ? new BroadcastChannel("fettle-bench") : null;
    if (this.channel) {
      this.channel.onmessage = ({ data }) => {
        if (data.kind === "kick" && this.leads) this.send();
        if (data.kind === "heard") this.heard(data.answer, data.items);
        if (data.kind === "line") this.line(data.how);
      };
    }
    addEventListener("online", () => this.kick());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState !== "visible") return;
      this.lead(true);
      this.kick();
    });
    this.lead(false);
  }

  // lead asks to be the one tab that sends; the tab that is looked at may take
  // it from one that the browser has put to sleep.
  lead(steal) {
    if (this.leads) return;
    if (!navigator.locks) {
      this.leads = true;
      this.send();
      return;
    }
    navigator.locks
      .request("fettle-bench-send", steal ? { steal: true } : {}, () => {
        this.leads = true;
        this.send();
        return new Promise((release) => (this.release = release));
      })
      .catch(() => {
        this.leads = false;
        this.lead(false); // wait in line again
      });
  }

  // kick says that there is something to send.
  kick() {
    this.tries = 0;
    if (this.leads) this.send();
    else this.channel?.postMessage({ kind: "kick" });
  }

  tell(how) {
    this.line(how);
    this.channel?.postMessage({ kind: "line", how });
  }

  async send() {
    this.again = true;
    if (this.busy) return;
    this.busy = true;
    clearTimeout(this.timer);
    try {
      while (this.again && this.leads) {
        this.again = false;
        await this.drain();
      }
    } finally {
      this.busy = false;
    }
  }

  async drain() {
    for (;;) {
      const open = (await this.store.all()).filter((i) => !i.refused);
      if (open.length === 0) {
        this.tell("sent");
        return;
      }
      // One request is of one job and one person: whoever is signed in sends
      // their own; what another typed waits for them, and what stands behind it.
      const other = open.findIndex((i) => i.job !== open[0].job || i.person !== open[0].person);
      const batch = open.slice(0, Math.min(other < 0 ? most : other, this.single ? 1 : most));
      const how = await this.post(batch);
      if (how === "sent") {
        this.tries = 0;
        this.single = false;
        continue;
      }
      if (how === "one") continue;
      this.tell(how);
      this.timer = setTimeout(() => this.send(), wait(this.tries));
      this.tries += 1;
      return;
    }
  }

  // post sends one batch: "sent", "waiting" for the network, "held" by the
  // server, or "one" where it is to be tried one by one.
  async post(batch) {
    let response;
    let answer;
    try {
      response = await fetch(`/job/${encodeURIComponent(batch[0].job)}/bench`, {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ device: this.store.device, ...this.where(batch[0].job), items: batch.map(bare) }),
        signal: AbortSignal.timeout?.(15000),
        redirect: "error",
      });
      answer = await response.json();
    } catch {
      return "waiting";
    }
    if (response.ok) {
      await this.done(batch, answer);
      return "sent";
    }
    if (response.status >= 500 || [401, 403, 408, 421, 429].includes(response.status)) return "held";
    if (batch.length > 1) {
      this.single = true;
      return "one";
    }
    await this.done(batch, { items: [{ n: batch[0].n, refused: (answer.say ?? []).map((say) => ({ field: "", say })) }], slots: [], marks: {}, asked: [] });
    this.single = false;
    return "one";
  }

  async done(batch, answer) {
    const stored = [];
    const refused = [];
    for (const told of answer.items) {
      const item = batch.find((i) => i.n === told.n);
      if (!item) continue;
      if (told.seq) stored.push(item.n);
      else refused.push({ ...item, refused: told.refused ?? [], perhaps: told.perhaps ?? [] });
    }
    // What is stored is shown before it is taken out of the queue: should this
    // tab die between the two, it is sent again and answered again.
    const settle = () => this.store.settle(stored, refused);
    if (refused.length > 0) await settle();
    try {
      this.heard(answer, batch);
    } finally {
      if (refused.length === 0) await settle();
    }
    this.channel?.postMessage({ kind: "heard", answer, items: batch });
  }
}

// bare is an item as it is sent: without what only the page knows of it.
const bare = ({ job, shown, kept, refused, perhaps, ...sent }) => sent;
