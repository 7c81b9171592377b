"""Forms of the patterns app."""
