"""The firm's price list, what a design costs by it, and which design is chosen."""
