"""Pages of sales, by subject."""
