"""Plots as placed lines, bars and words; templates print them as SVG."""
