"""What a pack contains, declared once; frozen content with its digests."""
