"""Facts and a rulebook in, a decision out."""
