"""The firm, its people and their roles; signing in."""
