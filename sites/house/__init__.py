"""What every subject rests on: rows with keys, boxes, files, events, and pages for trouble."""
