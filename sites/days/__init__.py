"""Days of the cases of a person: a page, a calendar for other programs, and a morning mail."""
