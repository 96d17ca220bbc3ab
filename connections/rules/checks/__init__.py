"""The electrical checks: facts and the rulebook's limits in, values with their workings out."""
