"""A converged engine cycle by solve_ivp, beside ours.

Reads the invented cylinder that the Go test wrote, with the polynomials of its
gases. The balance of the gas is written here anew from doc/model/cycle.md, in
plain Python on floats, which is quicker than numpy for seven numbers. Each
stretch between two events is one call of solve_ivp.

Exit 0 when mean effective pressure, peak and residual agree, else 1.
"""
import json
import math
import sys
import time

import numpy
import scipy
from scipy.integrate import solve_ivp

C = json.load(open(sys.argv[1]))
PI = math.pi
W, V0, B = C["speed"], C["clearance"], C["bore"]
AREA = PI / 4 * B * B
R0, L0 = C["throw"], C["rod"]
SP = 2 * R0 * W / PI
RF, RB = C["fresh"]["R"], C["burnt"]["R"]
IN, EX = C["inlet"], C["exhaust"]
FRONT, BAND = 0.02, 1e-3


def gas(g):
    def poly(c, k):
        a, b, d, e, f = c
        return a, b, d, e, f, a, b / 2, d / 3, e / 4, f / 5, k
    low, high = poly(g["low"], g["lowK"]), poly(g["high"], g["highK"])

    def at(t):
        a, b, d, e, f, p, q, r, s, u, k = high if t >= 1000 else low
        return a + t * (b + t * (d + t * (e + t * f))), k + t * (p + t * (q + t * (r + t * (s + t * u))))
    return at


FRESH, BURNT = gas(C["fresh"]), gas(C["burnt"])


def volume(th):
    s, c = math.sin(th), math.cos(th)
    root = math.sqrt(L0 * L0 - R0 * R0 * s * s)
    return V0 + AREA * (R0 + L0 - R0 * c - root), AREA * (R0 * s + R0 * R0 * s * c / root)


def area(v, th):
    if th <= v["opens"] or th >= v["closes"]:
        return 0.0
    lift = v["lift"] * math.sin(PI * (th - v["opens"]) / (v["closes"] - v["opens"])) ** 3
    return v["Cd"] * v["n"] * min(PI * v["D"] * lift, PI / 4 * 0.81 * v["D"] ** 2)


def orifice(p0, p, rt, g):
    q, scale = p / p0, 1.0
    if 1 - q < BAND:
        scale, q = (1 - q) / BAND, 1 - BAND
    q = max(q, (2 / (g + 1)) ** (g / (g - 1)))
    y = q ** (1 / g)
    return scale * p0 * math.sqrt(2 * g / (g - 1) * y * (y - q) / rt)


def rates(th, y, k):
    m, t, x, _, bm, bh, bx, brt, out, hot = y
    v, dv = volume(th)
    cf, hf = FRESH(t)
    cb, hb = BURNT(t)
    r, cp, h = RF + x * (RB - RF), cf + x * (cb - cf), hf + x * (hb - hf)
    rt = r * t
    p = m * rt / v
    w = (2.28 if k["closed"] else 6.18) * SP
    if k["fired"]:
        w += max(0.0, 3.24e-3 * k["swept"] * k["tr"] / (k["pr"] * k["vr"]) * (p - k["pr"] * (k["vr"] / v) ** 1.3))
    coef = 129.8 * B ** -0.2 * (p * 1e-5 * w) ** 0.8 * t ** -0.53 / W
    side = 4 * v / B
    dq = coef * (AREA * (t - C["piston"]) + C["headArea"] * AREA * (t - C["head"]) + side * (t - C["liner"]))
    dm = dh = dx = dbm = dbh = dbx = dbrt = dout = dhot = 0.0
    if k["burning"]:
        z = (th + C["start"]) / C["duration"]
        if z > 0:
            dx = k["unburnt"] * C["a"] * (C["m"] + 1) * z ** C["m"] * math.exp(-C["a"] * z ** (C["m"] + 1)) / C["duration"]
    a = area(IN, th)
    if a > 0:
        if p > C["p"]:
            f = a * orifice(p, C["p"], rt, cp / (cp - r)) / W
            dm, dh, dbm, dbh, dbx, dbrt = dm - f, dh - f * h, f, f * h, f * x, f * rt
        else:
            hin, xin, rtin, share = k["hf"], 0.0, k["rtf"], 0.0
            if bm > 1e-6 * m:
                share = bm / (bm + FRONT * m)
                hin, xin, rtin = hin + share * (bh / bm - hin), share * bx / bm, rtin + share * (brt / bm - rtin)
            f = a * orifice(C["p"], p, rtin, k["gf"]) / W
            if share > 0:
                s = -f * share / bm
                dbm, dbh, dbx, dbrt = s * bm, s * bh, s * bx, s * brt
            dm, dh, dx = dm + f, dh + f * hin, dx + f * (xin - x) / m
    a = area(EX, th)
    if a > 0:
        if p > C["back"]:
            f = a * orifice(p, C["back"], rt, cp / (cp - r)) / W
            dm, dh, dout, dhot = dm - f, dh - f * h, f, f * h
        else:
            f = a * orifice(C["back"], p, k["rtb"], k["gb"]) / W
            dm, dh, dx, dout = dm + f, dh + f * k["hb"], dx + f * (1 - x) / m, -f
    u, du = h - rt, hb - RB * t - hf + RF * t
    dt = (-p * dv - dq + dh - u * dm - m * du * dx) / (m * (cp - r))
    return dm, dt, dx, p * dv, dbm, dbh, dbx, dbrt, dout, dhot


def cut(v):
    """Angles at which the throat begins and ceases to bound the flow."""
    q = math.asin((0.81 * v["D"] / 4 / v["lift"]) ** (1 / 3)) / PI
    w = v["closes"] - v["opens"]
    return [v["opens"] + q * w, v["closes"] - q * w]


def stretches():
    begin = IN["closes"] - 4 * PI
    fire, end = -C["start"], C["duration"] - C["start"]
    marks = sorted([begin, fire, end, EX["opens"], EX["closes"], IN["opens"], IN["closes"]] + cut(IN) + cut(EX))
    return [(a, b, {"burning": fire - 1e-9 < a < end - 1e-9, "fired": fire - 1e-9 < a < EX["opens"] - 1e-9,
                    "closed": not any(v["opens"] < (a + b) / 2 < v["closes"] for v in (IN, EX))}) for a, b in zip(marks, marks[1:])]


def cycles(method, rtol, tolerance):
    """Repeats until state and exhaust come back; IMEP, peak, residual."""
    swept = 2 * R0 * AREA
    vr = volume(IN["closes"])[0]
    y = [0, C["T"] + 50, 0.05] + [0.0] * 7
    y[0] = C["p"] * vr / (RF * y[1])
    back, parts, evaluations = 1100.0, stretches(), 0
    for n in range(60):
        y[3] = y[8] = y[9] = 0.0
        start = list(y)
        r = RF + y[2] * (RB - RF)
        k = {"tr": y[1], "pr": y[0] * r * y[1] / vr, "vr": vr, "swept": swept, "unburnt": 1 - y[2]}
        cp, k["hf"] = FRESH(C["T"])
        k["gf"], k["rtf"] = cp / (cp - RF), RF * C["T"]
        cp, k["hb"] = BURNT(back)
        k["gb"], k["rtb"] = cp / (cp - RB), RB * back
        peak = 0.0
        for a, b, flags in parts:
            k.update(flags)
            if abs(a + C["start"]) < 1e-9:
                k["unburnt"] = 1 - y[2]
            scale = [1e-4, 500, 1, 100, 1e-4, 100, 1e-4, 10, 1e-4, 100]
            s = solve_ivp(rates, (a, b), y, method=method, rtol=rtol, atol=[rtol * v for v in scale], args=(k,))
            evaluations += s.nfev
            y = [float(v) for v in s.y[:, -1]]
            if flags["burning"]:
                for th, state in zip(s.t, s.y.T):
                    peak = max(peak, state[0] * (RF + state[2] * (RB - RF)) * state[1] / volume(th)[0])
        # Temperature of burnt gas with the mean enthalpy of what left.
        h, hot = y[9] / y[8], back
        for _ in range(30):
            cp, have = BURNT(hot)
            hot += (h - have) / cp
        change = max(abs(y[0] / start[0] - 1), abs(y[1] / start[1] - 1), abs(y[2] - start[2]), abs(hot / back - 1))
        back = hot
        if change < tolerance:
            break
    return y[3] / swept, peak, y[2], n + 1, evaluations


def main():
    print(f"one converged cycle of an invented cylinder; scipy {scipy.__version__}, numpy {numpy.__version__}, Python {sys.version.split()[0]}")
    reference = cycles("DOP853", 1e-9, 1e-9)
    off = [reference[0] / C["imep"] - 1, reference[1] / C["peak"] - 1, reference[2] - C["residual"]]
    print(f"fine runs of both: mean effective pressure {off[0]:+.1e}, peak at a step {off[1]:+.1e}, residual {off[2]:+.1e} apart")
    theirs = []
    for method, rtol in (("RK45", 1e-3), ("RK45", 1e-4), ("RK45", 1e-5), ("LSODA", 1e-4), ("LSODA", 1e-5), ("DOP853", 1e-4)):
        best, wall = float("inf"), float("inf")
        for _ in range(3):
            start, busy = time.perf_counter(), time.process_time()
            imep, _, _, n, evaluations = cycles(method, rtol, 1e-4)
            wall, best = min(wall, time.perf_counter() - start), min(best, time.process_time() - busy)
        theirs.append((best, abs(imep / reference[0] - 1), f"{method} {rtol:g}"))
        print(f"  solve_ivp {method:7} rtol {rtol:g}: {1e3 * best:7.1f} ms processor, {1e3 * wall:7.1f} ms clock, error {imep / reference[0] - 1:+.1e}, {n} cycles, {evaluations} evaluations")
    for r in C["runs"]:
        print(f"  ours, steps up to {r['Step']:g}°:        {1e3 * r['CPU']:7.3f} ms processor, {1e3 * r['Wall']:7.3f} ms clock, error {r['Off']:+.1e}")
    for bound in (1e-3, 1e-4, 1e-5):
        a = min((t for t in theirs if t[1] <= bound), default=None)
        b = min((r for r in C["runs"] if abs(r["Off"]) <= bound), key=lambda r: r["CPU"], default=None)
        if a and b:
            print(f"error of at most {bound:g}: {a[2]} {1e3 * a[0]:.1f} ms, ours {1e3 * b['CPU']:.3f} ms of the processor: {a[0] / b['CPU']:.0f} times")
    with open("/proc/loadavg") as f:
        print("load of the machine:", f.read().split()[0])
    sys.exit(0 if abs(off[0]) < 1e-5 and abs(off[1]) < 1e-3 and abs(off[2]) < 1e-5 else 1)


main()
