"""PostgreSQL, asked only from inside a book."""
