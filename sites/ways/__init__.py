"""The quick look: which way to go, from a few answers and without an address."""
