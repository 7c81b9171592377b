"""Hang tags on paper: every word with its place, ready for a template."""
