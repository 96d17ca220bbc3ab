"""Electrical checks: compare values from the facts with the rulebook's limits, with workings."""
