"""Least sums of the squares that the Go test wrote, by scipy, in the same run.

Exit 0 when every sum agrees to the last digit, else 1. Times are the least of
five runs on each side; which of them is shorter decides nothing here.
"""
import json
import os
import sys
import time

import numpy as np
from scipy.optimize import linear_sum_assignment

folder = sys.argv[1]
wrong = 0
print(f"{'n':>5} {'sum':>12} {'scipy':>12} {'fettle ms':>10} {'scipy ms':>10} {'ratio':>6}")
for p in json.load(open(os.path.join(folder, "assign.json"))):
    n = p["n"]
    cost = np.fromfile(os.path.join(folder, p["file"]), dtype="<i8").reshape(n, n).astype(float)
    best = float("inf")
    for _ in range(5):
        start = time.perf_counter()
        rows, cols = linear_sum_assignment(cost)
        best = min(best, time.perf_counter() - start)
    theirs = int(cost[rows, cols].sum())
    wrong += theirs != p["cost"]
    print(f"{n:5d} {p['cost']:12d} {theirs:12d} {1e3 * p['seconds']:10.2f} {1e3 * best:10.2f} {p['seconds'] / best:6.2f}")
if wrong:
    print(f"{wrong} sums do not agree")
sys.exit(wrong > 0)
