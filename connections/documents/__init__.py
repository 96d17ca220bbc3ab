"""Frozen pack to HTML to PDF, behind one function; sees no database row."""
