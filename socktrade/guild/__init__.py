"""Many makers on one server: each book is a schema of one PostgreSQL, chosen by host name."""
