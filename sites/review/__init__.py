"""Review: an engineer's decisions on findings, and the operator's answers."""
