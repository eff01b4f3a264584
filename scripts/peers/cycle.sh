# One converged four-stroke cycle, by fettle and by scipy's solve_ivp with the
# same equations written anew, at equal error of mean effective pressure.
go test ./internal/physics/cycle -count=1 -run '^TestPeers$' -peers "$scratch/cycle" >/dev/null
$python scripts/peers/cycle.py "$scratch/cycle"
