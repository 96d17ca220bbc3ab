"""The rulebook to read, and the firm's local entries."""
