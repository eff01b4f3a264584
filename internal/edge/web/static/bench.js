// The bench: one position is armed, a number comes from whatever types, Enter
// stores it and arms the next. Everything is done from here; the server answers
// with finished words and drawings.
import { Burst, canonical, direction, fromGauge, key, plain, steps, thousands, within } from "./number.js";
import { Sender, open } from "./queue.js";
import { Live } from "./live.js";
import { sound } from "./sound.js";

const root = document.getElementById("bench");
const el = (id) => document.getElementById("b-" + id);
const kept = (name) => localStorage.getItem("fettle-" + name) ?? "";
const keepIn = (name, v) => localStorage.setItem("fettle-" + name, v);

// The state of the page.
const s = {
  job: root.dataset.job,
  component: decodeURIComponent(location.pathname.split("/").pop()), // a kept page may be that of another part
  state: root.dataset.state,
  // Whoever is signed in; else whoever stood at this tab, or at this device.
  person: root.dataset.signed ? root.dataset.person : sessionStorage.getItem("fettle-person") || kept("person") || root.dataset.person,
  sheet: null, // of this part, as the server told it last
  at: 0, // armed slot
  back: null, // position to go back to, after a repeat or a correction
  correcting: null, // reading that the next number replaces
  pending: [], // items on this device
  asks: [], // questions to be answered here
  panel: null, // a choice that stands open
  mine: [], // readings made here, newest last
  steps: {}, // characteristic -> {base, step} while digits alone are typed
  units: {}, // characteristic -> unit
  taken: {}, // characteristic -> {gauge, master, condition}
  with: JSON.parse(sessionStorage.getItem("fettle-with") ?? "{}"), // temperatures, note
  waits: new Set(), // keys of texts that the server has still to read
  entered: new Map(), // key -> time of Enter, for the time to the verdict
};
let store, sender, live;

const slot = () => s.sheet.slots[s.at];
const say = (name, args = {}) => (s.sheet?.say[name] ?? name).replace(/\{(\w+)\}/g, (all, k) => args[k] ?? all);
const shown = (text) => (s.sheet.mark === "," ? text.replace(".", ",") : text);
const draftName = (position) => `draft/${s.job}/${s.state}/${position}`;
const unitOf = (x) => s.units[x.char] ?? x.unit ?? "";
const handOf = (x) => s.taken[x.char] ?? { gauge: x.gauge ?? "", master: x.master ?? "", condition: x.condition ?? [] };

// ---- saying ---------------------------------------------------------------

// speak says one thing, once, for eyes and for screen readers.
const speak = (text, kind = "") => {
  const p = el("say");
  if (p.textContent !== text) p.textContent = text;
  p.className = "say " + kind;
};

const make = (tag, className, text) => {
  const e = document.createElement(tag);
  if (className) e.className = className;
  if (text !== undefined) e.textContent = text;
  return e;
};

// drawn takes a finished drawing of the server into the page.
const drawn = (svg) => document.importNode(new DOMParser().parseFromString(svg, "text/html").body.firstElementChild, true);

const plate = (verdict, x) => {
  const v = s.sheet.signs[verdict] ?? s.sheet.signs.unmeasured;
  const p = make("span", "plate " + (verdict || "none"));
  p.append(drawn(v.sign), make("b", "", v.word));
  if (x?.toward) p.append(make("span", "toward", x.toward === "over" ? "↑" : "↓"));
  if (x?.amount) p.append(make("span", "amount", x.amount));
  return p;
};

// ---- showing --------------------------------------------------------------

const unsentOf = (position) => s.pending.filter((i) => i.position === position && i.job === s.job && i.state === s.state && i.kind === "reading");

const armed = () => {
  const x = slot();
  el("name").textContent = x.name;
  el("where").textContent = x.where;
  el("count").textContent = say("count", { n: String(s.at + 1), all: String(s.sheet.slots.length) });
  el("limits").textContent = x.limits ?? "";
  el("needs").textContent = x.needs?.length ? say("needs", { what: x.needs.map((k) => k.text).join(", ") }) : "";
  root.dataset.at = x.id;
  root.dataset.unit = x.check ? "" : unitOf(x);
  const field = el("value");
  field.value = kept(draftName(x.id));
  el("unit").textContent = x.check ? "" : unitOf(x);
  el("unit-key").hidden = !!x.check;
  const st = s.steps[x.char];
  el("base").hidden = !st;
  if (st) el("base").textContent = `${shown(st.base)} ${x.unit} ±`;
  el("correcting").hidden = !s.correcting;
  el("passfail").hidden = !x.check;
  for (const b of root.querySelectorAll("[data-do=steps],[data-do=unit]")) b.disabled = !!x.check;
  echo();
  judged();
  strip();
  light();
  withShown();
};

// echo shows what the typed digits alone stand for.
const echo = () => {
  const x = slot();
  const st = s.steps[x.char];
  const out = el("full");
  out.textContent = "";
  if (!st) return;
  const n = offset(x, st, el("value").value);
  out.textContent = n === null || n === undefined ? say("steps.of", { step: shown(st.step), unit: x.unit }) : `= ${shown(steps(st.base, st.step, n))} ${x.unit}`;
};

const judged = () => {
  const x = slot();
  const v = el("verdict");
  v.replaceChildren(plate(x.verdict, x));
  if (x.value) v.append(make("span", "num", x.value));
  if (x.left) v.append(make("span", "left", x.left));
  el("bar").replaceChildren(...(x.bar ? [drawn(x.bar)] : []));
  const rows = unsentOf(x.id).map((i) => {
    const li = make("li", "here", "");
    li.append(make("b", "num", i.shown), " ", make("span", "state", say("here")));
    return li;
  });
  for (const l of x.last ?? []) {
    const li = make("li", l.void ? "gone" : "");
    li.append(make(l.void ? "s" : "b", "num", l.text), " ", make("span", "state", [l.who, l.void].filter(Boolean).join(" · ")));
    rows.push(li);
  }
  const list = rows.slice(0, 3);
  while (list.length < 3) list.push(make("li", "none", "–"));
  el("last").replaceChildren(...list);
};

const withShown = () => {
  const x = slot();
  const h = handOf(x);
  const name = (list, id) => list?.find((k) => k.id === id)?.text ?? id;
  const parts = [name(s.sheet.gauges, h.gauge) || say("no-gauge")];
  if (h.master) parts.push(say("set-on", { master: h.master }));
  if (s.with.part) parts.push(say("part-temp", { t: s.with.part }));
  if (s.with.gauge) parts.push(say("gauge-temp", { t: s.with.gauge }));
  if (h.condition.length) parts.push(h.condition.map((k) => x.needs?.find((n) => n.id === k)?.text ?? k).join(", "));
  parts.push(s.person ? name(s.sheet.people, s.person) : say("no-person"));
  el("with").textContent = parts.join(" · ");
};

// strip shows the neighbours as limit bars.
const strip = () => {
  const list = s.sheet.slots;
  const from = Math.max(0, Math.min(s.at - 2, list.length - 6));
  el("strip").replaceChildren(
    ...list.slice(from, from + 6).map((x, k) => {
      const i = from + k;
      const li = make("li", i === s.at ? "armed" : "");
      const b = make("button", "neighbour");
      b.type = "button";
      if (i === s.at) b.setAttribute("aria-current", "true");
      b.append(make("span", "sr", `${x.name}, ${x.where}`));
      const waiting = unsentOf(x.id).length;
      b.append(make("span", "short", x.short || x.name), make("span", "num", waiting ? unsentOf(x.id)[0].shown : x.value || (x.left ? say("left") : "–")));
      if (waiting) b.append(make("span", "state", say("here")));
      else if (x.bar) b.append(drawn(x.bar));
      else b.append(plate(x.verdict));
      b.onclick = () => arm(i, true);
      li.append(b);
      return li;
    }),
  );
};

// light lights the armed position in the drawing.
const light = () => {
  for (const a of root.querySelectorAll(".draw .lit")) a.classList.remove("lit");
  root.querySelector(`.draw a[data-position~="${CSS.escape(slot().id)}"]`)?.classList.add("lit");
};

const gravity = { reject: 4, undecided: 3, unmeasured: 2, accept: 1, "": 0 };

// marks puts the gravest verdict of its positions on each seat of the drawing.
const marks = (changed) => {
  for (const a of root.querySelectorAll(".draw a[data-position]")) {
    const ids = a.dataset.position.split(" ");
    if (changed && !ids.some((id) => id in changed)) continue;
    const worst = ids.reduce((w, id) => (gravity[s.sheet.marks[id] ?? ""] > gravity[w] ? s.sheet.marks[id] : w), "");
    const rect = a.querySelector("rect");
    if (!rect || a.dataset.verdict === worst) continue;
    a.dataset.verdict = worst;
    for (const k of [...a.children]) if (k !== rect && k.tagName !== "title" && k.tagName !== "text") k.remove();
    const sign = drawn(s.sheet.signs[worst].sign);
    const mid = (p, d) => Number(rect.getAttribute(p)) + Number(rect.getAttribute(d)) / 2 - 9;
    sign.setAttribute("x", mid("x", "width"));
    sign.setAttribute("y", mid("y", "height"));
    a.append(sign);
  }
};

// queueShown says in words what is on this device only.
const queueShown = (how) => {
  if (how) s.line = how;
  const unsent = s.pending.filter((i) => !i.refused);
  const p = el("queue");
  const old = unsent.length ? Math.floor((Date.now() - Math.min(...unsent.map((i) => i.kept))) / 60000) : 0;
  p.className = "queue" + (old >= 60 ? " bad" : unsent.length ? " here" : "");
  p.textContent = unsent.length
    ? say(s.line === "held" ? "unsent.held" : "unsent", { n: String(unsent.length), min: String(old) })
    : say("sent");
  el("unsent").textContent = String(unsent.length);
  const refused = s.pending.filter((i) => i.refused);
  el("refused").replaceChildren(
    ...refused.slice(0, 3).map((i) => {
      const li = make("li");
      li.append(make("b", "num", i.shown ?? i.kind), " ", make("span", "", say("refused") + " " + i.refused.map((r) => r.say).join(" ")), " ");
      const again = make("button", "", say("do.mend"));
      again.type = "button";
      again.onclick = () => mend(i);
      const drop = make("button", "", say("do.drop"));
      drop.type = "button";
      drop.onclick = () => forget(i);
      li.append(again, " ", drop);
      return li;
    }),
  );
  root.dataset.unsent = unsent.length;
  root.dataset.refused = refused.length;
};

// ---- arming ---------------------------------------------------------------

const arm = (i, noted) => {
  s.at = Math.max(0, Math.min(i, s.sheet.slots.length - 1));
  s.panel = null;
  panel();
  armed();
  focus();
  if (noted) note();
};

// note tells the server where this person stands, so that any device goes on
// here. It is no fact: where the network is dead it is left.
const note = () => {
  clearTimeout(note.timer);
  note.timer = setTimeout(() => {
    if (!s.person) return;
    fetch(root.dataset.enter, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ device: store.device, ...where(s.job), items: [] }),
    }).catch(() => {});
  }, 400);
};

const where = (job) => (job === s.job && s.sheet ? { person: s.person, component: s.component, state: s.state, at: slot().id } : {});

const isOpen = (x) => x.n === 0 && !x.left && unsentOf(x.id).length === 0;

// onward arms what comes next: where a repeat or a correction came from, else
// the next position that is open; among measured ones simply the next.
const onward = (wasOpen) => {
  const list = s.sheet.slots;
  if (s.back !== null) {
    const to = list.findIndex((x) => x.id === s.back);
    s.back = null;
    if (to >= 0) return arm(to);
  }
  if (!wasOpen) return s.at + 1 < list.length ? arm(s.at + 1) : arm(s.at);
  for (let k = 1; k <= list.length; k++) {
    const i = (s.at + k) % list.length;
    if (isOpen(list[i])) return arm(i);
  }
  arm(s.at);
  const next = nextPart();
  speak(next ? say("part-done", { next: next.name }) : say("all-done"));
};

const nextPart = () => {
  const at = s.sheet.parts.findIndex((p) => p.id === s.component);
  const list = [...s.sheet.parts.slice(at + 1), ...s.sheet.parts.slice(0, Math.max(0, at))];
  return list.find((p) => p.open > 0);
};

const focus = () => {
  const f = el("value");
  if (document.activeElement !== f && !el("details").open) f.focus({ preventScroll: true });
};

// ---- entering -------------------------------------------------------------

// offset is how many steps digits alone stand for: null where the text is no
// digits, undefined where it needs a sign.
const offset = (x, st, text) => {
  const m = /^\s*([+\-−])?(\d{1,9})\s*$/.exec(text);
  if (!m) return null;
  const sign = m[1] ? (m[1] === "+" ? "+" : "-") : direction(st.base, x.low, x.high);
  if (sign === "") return undefined;
  return sign === "-" ? -Number(m[2]) : Number(m[2]);
};

const base = (kind, position) => ({ job: s.job, kind, key: key(), time: Date.now() * 1000, kept: Date.now(), person: s.person, position, state: s.state });

// put keeps items on the device and has them sent. Only a device that cannot
// keep them any more refuses, loudly.
const put = async (items) => {
  s.pending.push(...items);
  try {
    await store.add(items);
  } catch (err) {
    s.pending = s.pending.filter((i) => !items.includes(i));
    speak(say("full", { error: err?.name ?? "" }), "bad");
    sound("stop");
    return false;
  }
  queueShown();
  sender.kick();
  return true;
};

// number makes the item of what was typed, or says what is unclear about it.
const number = (x, text) => {
  const h = handOf(x);
  const unit = unitOf(x);
  const item = { ...base(s.correcting ? "correction" : "reading", x.id), value: text, unit, mark: s.sheet.mark, gauge: h.gauge, master: h.master,
    condition: [...h.condition], seen: x.n + unsentOf(x.id).length };
  if (s.correcting) Object.assign(item, { target: s.correcting.key, reason: s.correcting.reason });
  if (s.with.note) item.note = s.with.note;
  if (s.with.copied) item.transcribed = true;
  const temps = (mark) => {
    const put = (t) => (t ?? "").replace(/[.,]/, mark);
    if (s.with.part) item.part_temp = put(s.with.part);
    if (s.with.gauge) item.gauge_temp = put(s.with.gauge);
  };
  temps(item.mark);
  if (x.check) {
    const word = { 1: "pass", "+": "pass", 0: "fail", "-": "fail", "−": "fail" }[text.trim()] ?? text.trim().toLowerCase();
    Object.assign(item, { value: word, unit: "", gauge: h.gauge });
    item.shown = word === "pass" || word === "fail" ? say(word) : word;
    return item;
  }
  const st = s.steps[x.char];
  if (st) {
    const n = offset(x, st, text);
    if (n === undefined) return { ask: say("needs-sign") };
    const p = plain(text, x.units);
    const whole = st.base.replace("-", "").split(".")[0].length;
    if (n === null && p) return { ask: say("full-value", { value: text }), options: [{ text: `${shown(canonical(p))} ${unit}`, whole: text }] };
    if (n !== null && Math.abs(n).toString().length > whole && Math.abs(n) >= 1000)
      return { ask: say("many-steps", { n: text }), options: [{ text: `${shown(steps(st.base, st.step, n))} ${x.unit}`, steps: n }] };
    if (n !== null) return stepped(item, x, st, n);
  }
  const p = plain(text, x.units);
  if (!p) return { ...item, shown: text, unclear: true };
  if (p.mark) item.mark = p.mark;
  temps(item.mark);
  item.shown = `${shown(canonical(p))} ${p.unit || unit}`;
  const other = p.unit === "" && unit === x.unit ? thousands(p, x.low, x.high) : null;
  if (other) return { ask: say("two-ways", { text }), options: [{ text: item.shown, item }, { text: `${other} ${unit}`, item: { ...item, key: key(), value: other, shown: `${other} ${unit}` } }] };
  return item;
};

const stepped = (item, x, st, n) => {
  const value = steps(st.base, st.step, n);
  return { ...item, value, unit: x.unit, mark: ".", part_temp: s.with.part?.replace(",", "."), gauge_temp: s.with.gauge?.replace(",", "."), base: `${st.base} ${x.unit}`,
    step: `${st.step} ${x.unit}`, steps: String(n), shown: `${shown(value)} ${x.unit}` };
};

// enter takes what stands in the field.
const enter = async (text = el("value").value) => {
  if (text.includes("/")) return command(text);
  const label = labelled(text);
  if (label) return scanned(label);
  if (s.panel) return;
  if (text.trim() === "") {
    const next = !s.sheet.slots.some(isOpen) && nextPart();
    if (next) return go(next.id);
    return speak(say("empty"));
  }
  if (!s.person && s.sheet.people?.length) {
    sound("stop");
    el("details").open = true;
    return speak(say("who"), "bad");
  }
  const item = number(slot(), text);
  if (item.ask) {
    sound("ask");
    return choose(item.ask, item.options ?? []);
  }
  await entered(item);
};

// entered keeps one reading, empties the field and goes on.
const entered = async (item) => {
  const x = s.sheet.slots.find((k) => k.id === item.position) ?? slot();
  const wasOpen = isOpen(x);
  const began = performance.now();
  if (item.unclear) {
    // Text that is not one number goes to the server to be read; the field
    // keeps it until the answer is there.
    delete item.unclear;
    s.waits.add(item.key);
    if (await put([item])) speak(say("reading-it"));
    return;
  }
  s.entered.set(item.key, began);
  // The next position is armed at once, before the device has written this one
  // down: whoever types on loses no character.
  const typed = el("value").value;
  const correcting = s.correcting;
  const at = s.at;
  // Until it is written down it stands in a place of its own, so that a tab that
  // dies in between gives it back as a draft.
  const flight = "flight/" + item.key;
  keepIn(flight, JSON.stringify({ draft: draftName(x.id), text: typed || item.value }));
  localStorage.removeItem("fettle-" + draftName(x.id));
  const written = put([item]).finally(() => localStorage.removeItem("fettle-" + flight));
  s.mine.push({ key: item.key, position: item.position, at: Date.now() });
  s.last = item.position;
  s.correcting = null;
  delete s.with.note;
  speak("");
  done(item, say("here"));
  onward(wasOpen && !correcting);
  if (await written) return sound("stored");
  s.entered.delete(item.key);
  s.mine = s.mine.filter((m) => m.key !== item.key);
  s.correcting = correcting;
  keepIn(draftName(x.id), typed || item.value);
  el("done").replaceChildren();
  arm(at);
};

const place = (position) => {
  const x = s.sheet.slots.find((k) => k.id === position);
  return x ? `${x.name}, ${x.where}` : position;
};

// ---- answers of the server --------------------------------------------------

const heard = (answer, items) => {
  const stored = new Set(answer.items.filter((t) => t.seq).map((t) => t.n));
  root.dataset.again = String(Number(root.dataset.again ?? 0) + answer.items.filter((t) => t.again).length);
  const byN = new Map(items.map((i) => [i.n, i]));
  s.pending = s.pending.filter((i) => !stored.has(i.n));
  const job = items[0]?.job;
  for (const t of answer.items) {
    const item = byN.get(t.n);
    if (!item || t.seq) continue;
    const mine = s.pending.find((i) => i.n === t.n);
    if (mine) Object.assign(mine, { refused: t.refused ?? [], perhaps: t.perhaps ?? [] });
    if (job === s.job && s.waits.has(item.key)) unclear(item, t);
  }
  if (job === s.job && s.sheet) {
    live?.knows(answer.seq);
    merge(answer.slots, blind ? {} : answer.marks);
    for (const t of answer.items) result(byN.get(t.n), t);
    for (const q of answer.asked ?? []) ask(q);
    for (const x of answer.slots) drop(x);
  }
  queueShown();
  shownAsk();
};

// merge takes newer positions and verdicts in.
const merge = (slots = [], changed = {}) => {
  for (const x of slots) {
    const i = s.sheet.slots.findIndex((k) => k.id === x.id);
    if (i >= 0) s.sheet.slots[i] = x;
  }
  Object.assign(s.sheet.marks, changed);
  marks(changed);
  const part = s.sheet.parts.find((p) => p.id === s.component);
  if (part) part.open = s.sheet.slots.filter(isOpen).length;
  judged();
  strip();
  withShown();
};

// result says what became of one item made here.
const result = (item, t) => {
  if (!item || !t?.seq) return;
  const x = s.sheet.slots.find((k) => k.id === item.position);
  if (s.waits.delete(item.key)) {
    localStorage.removeItem("fettle-" + draftName(item.position));
    if (slot().id === item.position && el("value").value === item.value) {
      el("value").value = "";
      onward(true);
    }
  }
  if (item.kind === "reading" && t.others?.length)
    s.asks.push({ kind: "two-hands", key: t.reading, position: item.position, others: t.others, text: say("two-hands", { place: place(item.position), who: t.others.map((o) => `${o.who} ${o.text}`).join(", ") }) });
  if (!s.entered.has(item.key)) return;
  const began = s.entered.get(item.key);
  s.entered.delete(item.key);
  root.dataset.stored = String(Number(root.dataset.stored ?? 0) + 1);
  done(item, say("stored", { seq: String(t.seq) }), x);
  if (x?.verdict === "reject") sound("out");
  // When the next frame is painted the verdict is visible.
  requestAnimationFrame(() => setTimeout(() => {
    times.push(performance.now() - began);
    root.dataset.took = String(times.length);
  }));
};

// done says what became of the last reading; a screen reader hears it too.
const done = (item, how, x) => {
  const list = [make("span", "", `${place(item.position)}: `), make("b", "num", item.shown ?? ""), " ", make("span", "state", how)];
  if (x) list.push(" ", plate(x.verdict, x));
  el("done").replaceChildren(...list);
};

const times = [];
globalThis.benchTimes = times; // read by the browser test

// unclear gives a text that is not one number back, with what it may mean.
const unclear = async (item, t) => {
  s.waits.delete(item.key);
  if (!["", item.value].includes(el("value").value)) return; // something else is being typed: it stands among what was refused
  await forget(item);
  const i = s.sheet.slots.findIndex((x) => x.id === item.position);
  if (i >= 0 && i !== s.at) arm(i);
  el("value").value = item.value;
  keepIn(draftName(item.position), item.value);
  sound("ask");
  choose((t.refused ?? []).map((r) => r.say).join(" "), (t.perhaps ?? []).map((p) => ({ text: p.text, item: remade(item, p) })));
};

const remade = (item, p) => {
  const { n, refused, perhaps, ...rest } = item;
  const again = { ...rest, key: key(), value: p.value, unit: p.unit, mark: ".", shown: p.text, time: Date.now() * 1000, kept: Date.now() };
  if (s.with.part) again.part_temp = s.with.part.replace(",", ".");
  if (s.with.gauge) again.gauge_temp = s.with.gauge.replace(",", ".");
  return again;
};

// forget drops a refused item, mend takes it back into the field.
const forget = async (item) => {
  await store.settle([item.n], []);
  s.pending = s.pending.filter((i) => i.n !== item.n);
  queueShown();
};

const mend = async (item) => {
  const i = s.sheet.slots.findIndex((x) => x.id === item.position);
  if (i >= 0 && item.value) {
    keepIn(draftName(item.position), item.value);
    arm(i, true);
  }
  speak(item.refused.map((r) => r.say).join(" "), "bad");
  await forget(item);
};

// ---- questions ------------------------------------------------------------

const ask = (q) => {
  if (s.asks.some((a) => a.key === q.key && a.id === q.id)) return;
  s.asks.push({ kind: "question", ...q });
  sound("ask");
};

// drop takes questions away that are answered elsewhere.
const drop = (x) => {
  s.asks = s.asks.filter((a) => a.kind !== "question" || a.position !== x.id || (x.questions ?? []).some((q) => q.key === a.key && q.id === a.id));
};

const shownAsk = () => {
  const box = el("ask");
  const a = s.asks[0];
  box.hidden = !a;
  root.dataset.asks = s.asks.length;
  if (!a) return;
  el("ask-text").textContent = a.text;
  el("ask-more").textContent = s.asks.length > 1 ? say("ask-more", { n: String(s.asks.length - 1) }) : "";
  const words = a.kind === "two-hands" ? ["both", "mine", "theirs"] : ["keep", "correct", "again"];
  [7, 8, 9].forEach((k, i) => {
    const b = root.querySelector(`[data-answer="${k}"]`);
    b.querySelector(".word").textContent = say("do." + words[i]);
  });
};

// answer takes /7, /8 or /9 to the question that stands there.
const answer = async (n) => {
  const a = s.asks.shift();
  if (!a) return;
  shownAsk();
  const about = (target, text, what) => ({ ...base("answer", a.position), target, about: what ?? a.id, answer: text });
  if (a.kind === "two-hands") {
    const items = n === 7 ? [about(a.key, "keep", "two-hands")] : [];
    for (const gone of n === 8 ? a.others.map((o) => o.key) : n === 9 ? [a.key] : [])
      items.push(about(gone, "wrong", "two-hands"), { ...base("withdrawal", a.position), target: gone, reason: say("reason.two-hands") });
    await put(items);
  } else {
    const i = s.sheet.slots.findIndex((x) => x.id === a.position);
    const written = put([about(a.key, { 7: "keep", 8: "corrected", 9: "repeat" }[n])]);
    if (n !== 7) {
      if (i < 0) await go(componentOf(a.position), a.position);
      else {
        s.back = s.back ?? slot().id;
        arm(i);
      }
      if (n === 8) {
        s.correcting = { key: a.key, reason: say("reason.asked") };
        armed();
      }
      speak(say(n === 8 ? "type-right" : "read-again"));
    }
    await written;
  }
  root.dataset.answered = String(Number(root.dataset.answered ?? 0) + 1);
  focus();
};

const componentOf = (position) => position.split("/")[0];

// ---- choices ----------------------------------------------------------------

// choose opens a list of numbered choices in the page; nothing is modal.
const choose = (text, options) => {
  s.panel = options.length ? { text, options } : null;
  speak(text, "asked");
  panel();
  focus();
};

const panel = () => {
  const box = el("panel");
  box.hidden = !s.panel;
  box.replaceChildren(
    ...(s.panel?.options ?? []).slice(0, 8).map((o, i) => {
      const b = make("button", "choice");
      b.type = "button";
      b.append(make("kbd", "", "/" + (i + 1)), " ", make("span", "", o.text));
      b.onclick = () => pick(i + 1);
      return b;
    }),
  );
};

const pick = async (n) => {
  const o = s.panel?.options[n - 1];
  if (!o) return;
  s.panel = null;
  panel();
  el("value").value = "";
  if (o.item) await entered(o.item);
  else if (o.act) await o.act();
  else if (o.steps !== undefined) {
    const x = slot();
    const p = number(x, "+1");
    await entered(stepped(p, x, s.steps[x.char], o.steps));
  } else if (o.whole !== undefined) {
    const x = slot();
    const st = s.steps[x.char];
    delete s.steps[x.char];
    const item = number(x, o.whole);
    s.steps[x.char] = st;
    if (item.ask) choose(item.ask, item.options ?? []);
    else await entered(item);
  }
  focus();
};

// ---- acts -------------------------------------------------------------------

const acts = {
  enter: () => enter(),
  store: () => enter(),
  back: () => arm(s.at - 1, true),
  skip: () => (s.at + 1 < s.sheet.slots.length ? arm(s.at + 1, true) : nextPart() ? go(nextPart().id) : arm(s.at)),
  repeat: () => {
    const i = s.sheet.slots.findIndex((x) => x.id === s.last);
    if (i < 0) return speak(say("nothing-to-repeat"));
    if (i !== s.at) s.back = s.back ?? slot().id;
    arm(i);
    speak(say("read-again"));
  },
  cannot: () => choose(say("cannot"), s.sheet.because.map((k) => ({ text: k.text, act: () => leave(k.id) }))),
  undo: () => undo(),
  unit: () => {
    const x = slot();
    if (x.check) return;
    const list = x.units;
    s.units[x.char] = list[(list.indexOf(unitOf(x)) + 1) % list.length];
    localStorage.removeItem("fettle-" + draftName(x.id));
    armed();
    speak(say("unit-now", { unit: unitOf(x) }));
  },
  steps: () => toggleSteps(),
  clear: () => {
    s.panel = null;
    s.correcting = null;
    panel();
    localStorage.removeItem("fettle-" + draftName(slot().id));
    armed();
    focus();
  },
  with: () => {
    el("details").open = !el("details").open;
    if (el("details").open) fillDetails();
  },
  pad: () => root.classList.toggle("padded"),
  sound: () => {
    keepIn("sound", kept("sound") === "off" ? "on" : "off");
    soundShown();
  },
  pass: () => enter("1"),
  fail: () => enter("0"),
};

const soundShown = () => {
  for (const b of root.querySelectorAll("[data-do=sound]")) b.setAttribute("aria-pressed", String(kept("sound") !== "off"));
};

const leave = async (because) => {
  const x = slot();
  const written = put([{ ...base("left", x.id), because, shown: say("left") }]);
  const at = s.at;
  x.left = say("left");
  s.last = x.id;
  onward(true);
  if (await written) return;
  delete x.left;
  arm(at);
};

// undo takes the last reading made here back; within ten seconds nobody asks
// why.
const undo = () => {
  const m = s.mine.at(-1);
  if (!m) return speak(say("nothing-to-undo"));
  const take = async (reason) => {
    const written = put([{ ...base("withdrawal", m.position), target: m.key, reason, shown: say("do.undo") }]);
    const i = s.sheet.slots.findIndex((x) => x.id === m.position);
    if (i >= 0) arm(i);
    if (!(await written)) return;
    s.mine = s.mine.filter((k) => k !== m);
    speak(say("undone", { place: place(m.position) }));
  };
  if (Date.now() - m.at < 9500) return take("");
  choose(say("undo-why"), s.sheet.reasons.map((r) => ({ text: r.text, act: () => take(r.text) })));
};

// toggleSteps goes to digits alone and back: the base is the nominal, else the
// last value; the step is the last digit of the gauge.
const toggleSteps = (typed) => {
  const x = slot();
  if (x.check) return;
  if (s.steps[x.char] && !typed) {
    delete s.steps[x.char];
    armed();
    return speak(say("steps-off"));
  }
  const p = plain(typed || (x.nominal ?? "").split(" ")[0] || "", []);
  if (!p || (!typed && (x.nominal ?? "").split(" ")[1] !== x.unit)) return speak(say("no-base"));
  s.units[x.char] = x.unit;
  s.steps[x.char] = { base: canonical(p), step: x.decimals > 0 ? "0." + "1".padStart(x.decimals, "0") : "1" };
  armed();
  speak(say("steps-on", { base: shown(canonical(p)), step: shown(s.steps[x.char].step), unit: x.unit }));
};

// labelled is the label in a text that was scanned: the address in a part's code,
// or its six letters alone.
const labelled = (text) => {
  const at = /\/l\/([^/\s]+)\/([0-9A-Za-z]{6})\s*$/.exec(text);
  if (at) return { job: decodeURIComponent(at[1]), label: at[2] };
  const alone = /^\s*([0-9A-Za-z]{5}-?[0-9A-Za-z])\s*$/.exec(text)?.[1];
  // Digits alone are a number, and so are digits with a unit behind them.
  return alone && !/^\d+[A-Za-z]*$/.test(alone) ? { job: s.job, label: alone.replace("-", "") } : null;
};

// scanned goes where a part's label leads.
const scanned = async ({ job, label }) => {
  el("value").value = "";
  localStorage.removeItem("fettle-" + draftName(slot().id)); // the letters of the label
  echo();
  let to;
  try {
    const r = await fetch(`/l/${encodeURIComponent(job)}/${encodeURIComponent(label)}`, { signal: AbortSignal.timeout?.(8000) });
    to = /^\/job\/([^/]+)\/(at|part)\/(.+)$/.exec(decodeURIComponent(new URL(r.url).pathname));
  } catch {
    sound("stop");
    return speak(say("no-network"), "bad");
  }
  if (!to || to[1] !== s.job) {
    sound("stop");
    return speak(say("no-place", { text: label }), "bad");
  }
  return to[2] === "at" ? goTo(to[3]) : go(to[3]);
};

// command takes what begins with a slash: a digit at once, a word with Enter.
// A label that is scanned may hold one.
const command = async (typed) => {
  const label = labelled(typed);
  if (label) return scanned(label);
  const text = typed.slice(typed.indexOf("/")).trim();
  el("value").value = typed.slice(0, typed.indexOf("/")); // a draft stays
  echo();
  const digit = /^\/(\d)$/.exec(text)?.[1];
  if (digit) {
    const n = Number(digit);
    if (n === 0) return acts.clear();
    if (s.panel) return pick(n);
    if (n >= 7) return answer(n);
    return acts[["back", "skip", "cannot", "undo", "unit", "steps"][n - 1]]();
  }
  const [, word, rest = ""] = /^\/(\S+)\s*(.*)$/.exec(text) ?? [];
  const x = slot();
  const h = { ...handOf(x) };
  switch (word) {
    case "at":
      return goTo(rest);
    case "g":
      h.gauge = rest;
      h.master = "";
      s.taken[x.char] = h;
      break;
    case "m":
      h.master = rest;
      s.taken[x.char] = h;
      break;
    case "c":
      h.condition = rest.split(/\s+/).filter(Boolean);
      s.taken[x.char] = h;
      break;
    case "w":
      person(rest);
      break;
    case "t":
      s.with.part = rest;
      break;
    case "u":
      s.with.gauge = rest;
      break;
    case "n":
      s.with.note = rest;
      break;
    case "b":
      return toggleSteps(rest);
    default:
      sound("stop");
      return speak(say("no-command", { text }), "bad");
  }
  sessionStorage.setItem("fettle-with", JSON.stringify(s.with));
  withShown();
};

const person = (id) => {
  if (root.dataset.signed) return; // whoever is signed in enters
  s.person = id;
  keepIn("person", id);
  sessionStorage.setItem("fettle-person", id); // two people may stand at two tabs
};

const goTo = async (position) => {
  const i = s.sheet.slots.findIndex((x) => x.id === position);
  if (i >= 0) return arm(i, true);
  if (s.sheet.parts.some((p) => p.id === componentOf(position))) return go(componentOf(position), position);
  sound("stop");
  speak(say("no-place", { text: position }), "bad");
};

// ---- parts ------------------------------------------------------------------

// Read blind, a sheet holds nothing that others read where one has still to read.
const blind = new URLSearchParams(location.search).get("blind") === "yes";
const sheetHref = (component) =>
  `${root.dataset.sheet}/${encodeURIComponent(component)}/sheet?person=${encodeURIComponent(s.person)}&state=${encodeURIComponent(s.state)}${blind ? "&blind=yes" : ""}`;
const sheetName = (component) => `${s.job} ${s.state} ${component}${blind ? ` blind ${s.person}` : ""}`;

const fetched = async (component, more = "") => {
  const r = await fetch(sheetHref(component) + more, { signal: AbortSignal.timeout?.(8000) });
  if (!r.ok) throw new Error(String(r.status));
  return r.json();
};

// sheetOf asks the server, and takes what the device kept where it does not
// answer.
const sheetOf = async (component) => {
  try {
    // The drawing that the page came with need not come again.
    const here = component === root.dataset.component && s.sheet === null && root.querySelector(".draw svg");
    const sheet = await fetched(component, here ? "&undrawn=yes" : "");
    if (here) sheet.drawing = here.outerHTML;
    store.keepSheet(sheetName(component), { ...sheet, kept: Date.now() }).catch(() => {});
    return sheet;
  } catch (err) {
    const sheet = await store.sheet(sheetName(component));
    if (!sheet) throw err;
    return sheet;
  }
};

const go = async (component, position) => {
  let sheet;
  try {
    sheet = await sheetOf(component);
  } catch {
    sound("stop");
    return speak(say("no-sheet"), "bad");
  }
  const typed = el("value").value; // a command that was begun meanwhile goes on
  show(sheet, position);
  if (typed.includes("/")) el("value").value = typed;
  history.replaceState(null, "", `${root.dataset.sheet}/${encodeURIComponent(component)}${location.search}`);
};

const show = (sheet, position) => {
  s.sheet = sheet;
  s.component = sheet.component;
  root.dataset.component = sheet.component;
  document.querySelector("h1").textContent = sheet.heading;
  root.querySelector(".draw").replaceChildren(drawn(sheet.drawing));
  marks();
  const i = position ? sheet.slots.findIndex((x) => x.id === position) : sheet.at;
  arm(i >= 0 ? i : 0);
  for (const x of sheet.slots) for (const q of x.questions ?? []) if (s.mine.some((m) => m.key === q.key)) ask(q);
  shownAsk();
  root.dataset.ready = sheet.component;
};

// refresh takes changes of others in.
const refresh = async (lines) => {
  const here = lines?.filter((l) => l.about.startsWith(s.component + "/"));
  if (lines && here.length === 0) return;
  try {
    const only = lines ? "&" + [...new Set(here.map((l) => l.about))].map((p) => "only=" + encodeURIComponent(p)).join("&") : "";
    const sheet = await fetched(s.component, only);
    if (sheet.component !== s.component) return;
    merge(sheet.slots, sheet.marks);
    for (const x of sheet.slots) drop(x);
    shownAsk();
    const other = here?.find((l) => l.about === slot().id && l.device !== store.device);
    if (other) speak(say("other-read", { who: s.sheet.people?.find((p) => p.id === other.who)?.text ?? other.who, place: place(other.about), value: slot().last?.[0]?.text ?? "" }), "asked");
  } catch {
    // the next change, or the next asking, brings it
  }
};

// ---- details ----------------------------------------------------------------

const options = (select, list, chosen, none) => {
  const o = (k) => {
    const e = make("option", "", k.text);
    e.value = k.id;
    e.selected = k.id === chosen;
    return e;
  };
  select.replaceChildren(...(none === undefined ? [] : [o({ id: "", text: none })]), ...list.map(o));
};

const fillDetails = () => {
  const x = slot();
  const h = handOf(x);
  const fit = s.sheet.gauges.filter((g) => !g.for || g.for.includes(x.quantity) || x.check);
  options(el("person"), s.sheet.people ?? [], s.person, say("choose"));
  options(el("gauge"), fit, h.gauge, say("no-gauge"));
  options(el("master"), s.sheet.gauges, h.master, say("usual"));
  options(el("state"), s.sheet.states, s.state);
  options(el("way"), ["hand", "back", "place"].map((w) => ({ id: w, text: say("way." + w) })), s.sheet.way);
  options(el("first"), s.sheet.chars, s.sheet.first[0] ?? "", say("way.as-it-is"));
  el("part-temp").value = s.with.part ?? "";
  el("gauge-temp").value = s.with.gauge ?? "";
  el("note").value = s.with.note ?? "";
  el("copied").checked = !!s.with.copied;
  el("needs-list").replaceChildren(
    ...(x.needs ?? []).map((k) => {
      const l = make("label", "need");
      const c = make("input");
      c.type = "checkbox";
      c.value = k.id;
      c.checked = h.condition.includes(k.id);
      l.append(c, " " + k.text);
      return l;
    }),
  );
};

const takeDetails = async (e) => {
  const x = slot();
  const t = e.target;
  if (t.id === "b-state") {
    s.state = t.value;
    const u = new URL(location.href);
    u.searchParams.set("state", s.state);
    history.replaceState(null, "", u);
    return go(s.component, x.id);
  }
  if (t.id === "b-way" || t.id === "b-first") return reorder();
  if (t.id === "b-person") person(t.value);
  const h = { gauge: el("gauge").value, master: el("master").value, condition: [...el("needs-list").querySelectorAll(":checked")].map((c) => c.value) };
  if (t.id === "b-gauge") h.master = "";
  s.taken[x.char] = h;
  s.with = { part: el("part-temp").value.trim(), gauge: el("gauge-temp").value.trim(), note: el("note").value.trim(), copied: el("copied").checked };
  sessionStorage.setItem("fettle-with", JSON.stringify(s.with));
  withShown();
};

const reorder = async () => {
  const first = el("first").value;
  try {
    const r = await fetch(`${root.dataset.sheet}/${encodeURIComponent(s.component)}/order?person=${encodeURIComponent(s.person)}&state=${encodeURIComponent(s.state)}`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ person: s.person, way: el("way").value, first: first ? [first] : [] }),
    });
    const sheet = await r.json();
    if (!r.ok) return speak((sheet.say ?? []).join(" "), "bad");
    store.keepSheet(sheetName(s.component), { ...sheet, kept: Date.now() }).catch(() => {});
    const firstOpen = first ? sheet.slots.find((x) => x.char === first && x.n === 0)?.id : undefined;
    show(sheet, firstOpen ?? slot().id);
    speak(say("order-kept"));
  } catch {
    speak(say("no-network"), "bad");
  }
};

// ---- keys -------------------------------------------------------------------

const burst = new Burst();
let pressed = -Infinity; // when Enter was taken last
let told = -Infinity; // when a command was: the Enter that a scanner sends behind it says nothing
let snapshot = null; // what stood in another field when a burst began

// fromField takes the field as it stands. Where a gauge typed behind something
// else, and only its own text is plausible, the page asks; it never cuts.
const fromField = (text) => {
  const whole = el("value").value;
  const x = slot();
  const likely = (t) => {
    const p = plain(t, x.units);
    return p && (x.low || x.high) && within(canonical(p), x.low, x.high);
  };
  if (s.steps[x.char] || x.check || whole.trim() === text || whole.includes("/") || !whole.endsWith(text) || likely(whole) || !likely(text)) return enter(whole);
  sound("ask");
  choose(say("two-texts", { text: whole }), [{ text, whole: text }, { text: whole, whole }]);
};

// pieces puts a number that came in pieces, while the cursor stood elsewhere,
// into the field to be looked at.
const pieces = (whole) => {
  keepIn(draftName(slot().id), whole);
  armed();
  el("value").focus();
  sound("ask");
  speak(say("pieces", { text: whole }), "asked");
};

const onKey = (e) => {
  const field = el("value");
  if (e.isComposing || e.ctrlKey || e.metaKey || e.altKey) return;
  const inOther = e.target !== field && e.target.matches?.("input:not([type=checkbox]),select,textarea");
  if (e.key === "Enter" || e.key === "Tab") {
    const came = burst.end(e.timeStamp);
    if (e.key === "Enter") pressed = e.timeStamp;
    if (e.key === "Enter" && (e.repeat || (el("value").value === "" && e.timeStamp - told < 120))) return e.preventDefault();
    if (inOther && came && fromGauge(came.text)) {
      e.preventDefault();
      if (came.whole !== came.text) return pieces(came.whole);
      if (snapshot) snapshot.el.value = snapshot.value;
      return enter(came.text);
    }
    if (e.target === field && came && fromGauge(came.text)) {
      e.preventDefault();
      return fromField(came.text);
    }
    if (e.target === field && e.key === "Enter") {
      e.preventDefault();
      return enter();
    }
    return;
  }
  if (e.key.length === 1) {
    if (burst.key(e.key, e.timeStamp)) {
      snapshot = inOther ? { el: e.target, value: e.target.value } : null;
    }
    if (!inOther && e.target !== field && !e.target.closest?.("summary") && /[\d+\-−.,/*]/.test(e.key)) field.focus({ preventScroll: true });
    return;
  }
  if (inOther) return;
  const empty = field.value === "";
  if (e.key === "Escape") acts.clear();
  else if (e.key === "PageUp" || (e.key === "ArrowLeft" && empty && e.target === field)) acts.back();
  else if (e.key === "PageDown" || (e.key === "ArrowRight" && empty && e.target === field)) acts.skip();
  else return;
  e.preventDefault();
};

const onInput = () => {
  const field = el("value");
  if (field.value.includes("*")) {
    field.value = field.value.replaceAll("*", "");
    told = performance.now();
    acts.repeat();
    return;
  }
  if (/^[^/]*\/\d$/.test(field.value)) {
    told = performance.now();
    return command(field.value);
  }
  if (field.value.includes("/")) return;
  keepIn(draftName(slot().id), field.value);
  if (!field.value) localStorage.removeItem("fettle-" + draftName(slot().id));
  echo();
};

const press = (what) => {
  const field = el("value");
  if (what === "rub") field.value = field.value.slice(0, -1);
  else if (what === "sign") field.value = field.value.startsWith("-") ? field.value.slice(1) : "-" + field.value;
  else if (what === "mark") field.value += s.sheet.mark;
  else field.value += what;
  onInput();
};

const listen = () => {
  document.addEventListener("keydown", onKey, true);
  el("value").addEventListener("input", onInput);
  el("form").addEventListener("submit", (e) => {
    e.preventDefault();
    if (e.timeStamp - pressed > 300) enter(); // a keyboard on glass that sends no key
  });
  root.addEventListener("click", (e) => {
    const b = e.target.closest("[data-do],[data-press],[data-answer]");
    const seat = e.target.closest(".draw a[data-position]");
    if (seat) {
      e.preventDefault();
      const ids = seat.dataset.position.split(" ");
      const fit = s.sheet.slots.map((x, i) => [x, i]).filter(([x]) => ids.includes(x.id));
      const to = fit.find(([x]) => isOpen(x)) ?? fit[0];
      if (to) arm(to[1], true);
    } else if (b?.dataset.press) press(b.dataset.press);
    else if (b?.dataset.answer) answer(Number(b.dataset.answer));
    else if (b) acts[b.dataset.do]?.();
    if (b && b.dataset.do !== "with") focus();
  });
  el("details").addEventListener("change", takeDetails);
  el("details").addEventListener("toggle", () => {
    if (el("details").open) fillDetails();
    else focus();
  });
  // The pad comes with the first finger and goes with the first key.
  addEventListener("pointerdown", (e) => {
    if (e.pointerType !== "touch" || root.classList.contains("padded")) return;
    root.classList.add("padded");
    el("value").setAttribute("inputmode", "none");
  });
  addEventListener("keydown", (e) => {
    if (!e.isTrusted || e.key.length !== 1 || !root.classList.contains("padded")) return;
    root.classList.remove("padded");
    el("value").setAttribute("inputmode", "decimal");
  });
};

// ---- beginning ----------------------------------------------------------------

// worker puts the worker in charge of the shell; a new one waits until nothing
// is unsent.
const worker = async () => {
  if (!navigator.serviceWorker) return;
  const reg = await navigator.serviceWorker.register("/worker.js", { scope: "/job/", type: "classic" });
  const over = () => {
    if (reg.waiting && s.pending.length === 0) reg.waiting.postMessage("take over");
  };
  reg.addEventListener("updatefound", () => reg.installing?.addEventListener("statechange", over));
  setInterval(over, 60000);
  over();
  // The page that was open before there was a worker is kept now.
  if (!navigator.serviceWorker.controller) await (await caches.open("fettle-pages")).add(location.pathname + location.search);
};

const awake = async () => {
  try {
    await navigator.wakeLock?.request("screen");
  } catch {
    // the screen goes dark when it wants to
  }
};

// landed gives back what a tab was about to write down when it died.
const landed = () => {
  for (const name of Object.keys(localStorage).filter((k) => k.startsWith("fettle-flight/"))) {
    if (!s.pending.some((i) => name.endsWith(i.key))) {
      const { draft, text } = JSON.parse(localStorage.getItem(name));
      keepIn(draft, text);
    }
    localStorage.removeItem(name);
  }
};

const begin = async () => {
  root.hidden = false;
  try {
    store = await open();
  } catch {
    root.classList.add("dead");
    el("say").textContent = root.dataset.nostore;
    return;
  }
  s.pending = await store.all();
  landed();
  s.sheet = await sheetOf(s.component).catch(() => null);
  if (!s.sheet) {
    el("say").textContent = root.dataset.nosheet;
    return;
  }
  if (!s.person && s.sheet.people?.length === 1) person(s.sheet.people[0].id);
  sender = new Sender(store, { heard, line: queueShown, where });
  show(s.sheet);
  listen();
  queueShown("sent");
  soundShown();
  live = new Live(root.dataset.live, s.sheet.seq, { changed: refresh, device: store.device, line: (ok) => (root.dataset.linked = String(ok)) });
  setInterval(() => queueShown(), 30000);
  worker().catch(() => {}); // without it the page works while it is open
  awake();
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && awake());
  store.forgetSheets(Date.now() - 2 * 24 * 3600e3).catch(() => {});
  ahead();
};

// ahead fetches the other parts while there is time, so that they can be
// measured without the network.
const ahead = async () => {
  for (const p of s.sheet.parts) {
    if (p.id === s.component) continue;
    await new Promise((r) => setTimeout(r, 300));
    try {
      const sheet = await fetched(p.id);
      await store.keepSheet(sheetName(p.id), { ...sheet, kept: Date.now() });
    } catch {
      return;
    }
  }
  root.dataset.ahead = "yes";
};

begin();
