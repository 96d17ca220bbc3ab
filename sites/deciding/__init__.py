"""Decides rows or typed facts; the sheet with the panel beside it."""
