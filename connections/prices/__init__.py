"""What a design costs by a price list, and when one design earns back what it costs more."""
