"""Pages of production, by subject."""
