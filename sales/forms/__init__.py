"""Forms of sales, by subject."""
