"""Dated sets of published and local values: schema, loader, look-up and layering."""
