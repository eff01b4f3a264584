# Draws every clearance of the demonstration's six 10⁶ times, by fettle and by
# numpy, and holds figures and times against each other.
go test ./internal/judge/assess -count=1 -run '^TestPeers$' -peers "$scratch/model" >/dev/null
$python scripts/peers/draws.py "$scratch/model"
