"""The work list, the page of a premises, and the demonstration."""
