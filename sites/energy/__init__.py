"""The energy year of a design: what it rests on, and what the worker finds."""
