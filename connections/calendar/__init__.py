"""Working days of the nations, and the day by which something must be sent or answered."""
