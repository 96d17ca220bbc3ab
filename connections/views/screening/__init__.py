"""Pages of looking again at all sites under other rules."""
