"""Pages of the firm's local entries."""
