"""Pages of the firm's equipment catalogue."""
