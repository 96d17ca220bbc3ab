"""Looks: all lines decided under other rules."""
