"""The firm's equipment catalogue."""
