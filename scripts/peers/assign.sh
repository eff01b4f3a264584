# Least sums of dense random squares of costs, 200 and 1000 wide, by fettle and by
# scipy's linear_sum_assignment, and holds sums and times against each other.
go test ./internal/maths/assign -count=1 -run '^TestPeers$' -peers "$scratch/squares" >/dev/null
$python scripts/peers/assign.py "$scratch/squares"
