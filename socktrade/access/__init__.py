"""Who may open what."""
