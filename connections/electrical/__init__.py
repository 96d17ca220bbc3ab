"""Electrical sums that are true with no rule at all."""
