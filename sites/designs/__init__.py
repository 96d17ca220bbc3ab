"""The designs of a premises, side by side."""
