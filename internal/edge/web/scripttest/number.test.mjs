import test from "node:test";
import assert from "node:assert/strict";
import { Burst, canonical, direction, fromGauge, key, less, plain, steps, thousands, wait, within } from "../static/number.js";

const units = ["mm", "µm", "in", "thou"];
const read = (text) => {
  const p = plain(text, units);
  return p && canonical(p) + (p.unit ? " " + p.unit : "");
};

// The same texts stand in the parser's own test of the server: what is plain
// here is one number there.
test("a plain number is one, anything else is asked about", () => {
  const want = {
    "86.012": "86.012", "86,012": "86.012", "+3": "3", "-0.003": "-0.003", "−3": "-3", "83.010": "83.010", "3.3862in": "3.3862 in", "12 µm": "12 µm", " 5 ": "5",
    "": null, "-": null, ".012": null, "86.": null, "1.500,25": null, "1.5.0": null, "1 500": null, "1e3": null, "--3": null, "86.012 km": null, "８６": null, "8O": null,
    "1234567890123456": null, NaN: null,
  };
  for (const [text, w] of Object.entries(want)) assert.equal(read(text), w, text);
});

test("base and steps add up exactly", () => {
  assert.equal(steps("86.000", "0.001", 12), "86.012");
  assert.equal(steps("86.000", "0.001", -12), "85.988");
  assert.equal(steps("86", "0.001", 0), "86.000");
  assert.equal(steps("0.000", "0.001", -3), "-0.003");
  assert.equal(steps("3.3850", "0.0001", 12), "3.3862");
  assert.equal(steps("0.1", "0.1", 2), "0.3"); // what floating point misses
});

test("the sign of digits alone is taken only where the band leaves no other", () => {
  assert.equal(direction("86.000", "86.000", "86.060"), "+");
  assert.equal(direction("86.000", "85.9", "86.000"), "-");
  assert.equal(direction("86.000", "85.990", "86.060"), "");
  assert.equal(direction("86.000", "", ""), "");
});

test("a comma with three digits behind it is asked about where both readings are plausible", () => {
  const p = plain("1,500", units);
  assert.equal(thousands(p, "1000", "2000"), "1500");
  assert.equal(thousands(p, "1.0", "2.0"), null);
  assert.equal(thousands(plain("86.012", units), "85", "87"), null);
  assert.equal(thousands(plain("0,500", units), "100", "600"), null);
  assert.equal(thousands(plain("1,50", units), "100", "200"), null);
});

test("decimal texts compare exactly", () => {
  assert.ok(less("85.9999", "86"));
  assert.ok(!less("86.000", "86"));
  assert.ok(less("-0.01", "-0.001"));
  assert.ok(within("86", "", ""));
  assert.ok(!within("86.1", "85", "86.0"));
});

test("a gauge that types is told from a person, and a faltering one is not cut", () => {
  const type = (b, text, from, gap) => text.split("").forEach((c, i) => b.key(c, from + gap * i));
  const b = new Burst();
  type(b, "83.012", 100, 8);
  assert.deepEqual(b.end(150), { text: "83.012", whole: "83.012" });
  type(b, "83.012", 10000, 120);
  assert.equal(b.end(10700), null, "a person types slower");
  type(b, "83", 20000, 10);
  assert.equal(b.end(20020), null, "two keys at once are a roll of the hand");
  b.key("8", 30000); // the gauge falters after its first digit
  type(b, "3.012", 30400, 8);
  assert.deepEqual(b.end(30450), { text: "3.012", whole: "83.012" });
  b.key("9", 40000); // long before
  type(b, "83.012", 42000, 8);
  assert.deepEqual(b.end(42050), { text: "83.012", whole: "83.012" });
});

test("only numbers are taken from a gauge", () => {
  for (const ok of ["83.012", "-0.003", "+1,25mm", "12µm"]) assert.ok(fromGauge(ok), ok);
  for (const no of ["/at x", "hello", "83.01.2", "", "1 2"]) assert.ok(!fromGauge(no), no);
});

test("keys are 128 bits and differ", () => {
  const seen = new Set(Array.from({ length: 500 }, key));
  assert.equal(seen.size, 500);
  for (const k of seen) assert.match(k, /^[0-9a-f]{32}$/);
});

test("waiting doubles up to half a minute", () => {
  assert.deepEqual([0, 1, 2, 5, 9].map((n) => wait(n, 0.5)), [1000, 2000, 4000, 30000, 30000]);
  assert.ok(wait(0, 0) === 750 && wait(0, 1) === 1250);
});
