"""Pages of the rulebook, and the firm's local entries."""
