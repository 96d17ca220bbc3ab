"""Working days of each nation, and the last days of periods."""
