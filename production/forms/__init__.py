"""Forms of production, by subject."""
