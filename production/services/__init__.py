"""Acts of the workshop: one function for each thing that a person does."""
