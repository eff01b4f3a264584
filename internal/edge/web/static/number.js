// What a person or a gauge types, before it is sent. Nothing here decides what
// a text means where it may mean two things: that is asked.

// plain reads one number as a bench types it: an optional sign, digits, at most
// one mark, an optional unit of the list. Anything else is null.
export const plain = (text, units = []) => {
  const m = /^\s*([+\-−])?(\d+)(?:([.,])(\d+))?\s*(\S+)?\s*$/.exec(text);
  if (!m) return null;
  const [, sign = "", whole, mark = "", part = "", unit = ""] = m;
  if (unit !== "" && !units.includes(unit)) return null;
  if ((whole + part).replace(/^0+/, "").length > 15) return null;
  return { minus: sign === "-" || sign === "−", signed: sign !== "", whole, mark, part, unit };
};

// canonical writes a plain number with a point.
export const canonical = (p) => (p.minus ? "-" : "") + p.whole + (p.part === "" ? "" : "." + p.part);

// scaled is a decimal text as a whole number of its last of n digits.
const scaled = (text, n) => {
  const minus = text.startsWith("-");
  const [whole, part = ""] = text.replace("-", "").split(".");
  const v = BigInt(whole + part.padEnd(n, "0"));
  return minus ? -v : v;
};

// written puts the point back.
const written = (v, n) => {
  const minus = v < 0n;
  const digits = (minus ? -v : v).toString().padStart(n + 1, "0");
  const at = digits.length - n;
  return (minus ? "-" : "") + digits.slice(0, at) + (n > 0 ? "." + digits.slice(at) : "");
};

const decimals = (text) => (text.split(".")[1] ?? "").length;

// less compares two decimal texts exactly.
export const less = (a, b) => {
  const n = Math.max(decimals(a), decimals(b));
  return scaled(a, n) < scaled(b, n);
};

// within says whether a decimal text lies in a band of which either end may be
// missing.
export const within = (text, low, high) => !(low && less(text, low)) && !(high && less(high, text));

// thousands is the other number that a text may be: one mark with three digits
// behind it may part thousands. It is asked about where that is as plausible.
export const thousands = (p, low, high) => {
  if (p.mark === "" || p.part.length !== 3 || p.whole.length > 3 || p.whole.startsWith("0")) return null;
  const other = (p.minus ? "-" : "") + p.whole + p.part;
  if (!low && !high) return null;
  return within(other, low, high) ? other : null;
};

// steps is a base and a whole number of steps on it, both decimal texts.
export const steps = (base, step, n) => {
  const d = Math.max(decimals(base), decimals(step));
  return written(scaled(base, d) + scaled(step, d) * BigInt(n), d);
};

// direction is which sign digits alone may take without asking: up where the
// whole band lies at or above the base, down where it lies below, none else.
export const direction = (base, low, high) => {
  if (low && !less(low, base)) return "+";
  if (high && !less(base, high)) return "-";
  return "";
};

// Burst tells a gauge that types from a person: characters a few milliseconds
// apart, at least three, ended by Enter or Tab. A gauge may falter in the middle
// of a number, so what came shortly before belongs to it perhaps: whole says all
// of that, and nobody may take the burst alone for the number where they differ.
export class Burst {
  constructor(gap = 50, least = 3, pause = 1000) {
    this.gap = gap;
    this.least = least;
    this.pause = pause;
    this.clear();
  }

  clear() {
    this.text = "";
    this.whole = "";
    this.last = -Infinity;
  }

  // key takes one character at a time in milliseconds; true where a burst
  // begins with it.
  key(char, at) {
    const begins = at - this.last > this.gap;
    this.text = begins ? char : this.text + char;
    this.whole = at - this.last > this.pause ? char : this.whole + char;
    this.last = at;
    return begins;
  }

  // end is the burst that ends now, or null.
  end(at) {
    const { text, whole } = this;
    const ok = text.length >= this.least && at - this.last <= this.gap;
    this.clear();
    return ok ? { text, whole } : null;
  }
}

// fromGauge says whether a burst is what a gauge sends: one number, perhaps
// with a unit.
export const fromGauge = (text) => /^[+\-−]?\d+([.,]\d+)?\s*[a-zµμ"]*$/i.test(text);

// key makes 128 bits for an entry; getRandomValues works without a secure
// context, randomUUID does not.
export const key = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("");

// wait is how long to wait before try n, in milliseconds: 1, 2, 4 … 30 seconds,
// with a quarter of chance either way.
export const wait = (n, chance = Math.random()) => Math.min(30000, 1000 * 2 ** n) * (0.75 + chance / 2);
