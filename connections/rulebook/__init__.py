"""Published and local values by date: schema, loader, look-up and layering."""
