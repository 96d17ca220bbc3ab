"""The basis of every subject: rows with keys, boxes, files, events, and error pages."""
