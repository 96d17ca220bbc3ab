"""Ways to equip a home, told from a few answers before any premises is known."""
