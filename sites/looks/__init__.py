"""Looks: all cases decided under other rules."""
