"""Deciding what is in the rows or typed, and the sheet with the panel beside it."""
