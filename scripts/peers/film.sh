# Oil films by fettle, numpy and scipy: the Reynolds equation with a sparse matrix,
# a journal's orbit by solve_ivp one at a time and by numpy a thousand at once.
go test ./internal/physics/film -count=1 -run '^TestPeers$' -peers "$scratch" >/dev/null
$python scripts/peers/film.py "$scratch/film.json"
