"""Cases: their states and moves, who owns them, and the kept decision on each."""
