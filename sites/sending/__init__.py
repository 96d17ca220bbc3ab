"""Sending packs to the operator: the outbox, the copy sheet, and letters and calls about a case."""
