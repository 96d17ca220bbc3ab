"""Energy years of designs: their inputs, and the worker's results."""
