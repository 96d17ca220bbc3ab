"""Electrical formulas that depend on no rule."""
