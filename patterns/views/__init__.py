"""Pages of the patterns app."""
