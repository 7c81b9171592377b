"""The whole book as open files, and what comes in from files: CSV, JSON, copies."""
