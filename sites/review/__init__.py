"""What an engineer looks through and decides, and what the operator answers."""
