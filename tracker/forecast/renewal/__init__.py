"""How often positions need a new part: the laws of renewals and their sums."""
