"""All sites under other rules."""
