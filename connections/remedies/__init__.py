"""Changes that would make a site pass, each proved by deciding again."""
