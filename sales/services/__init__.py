"""Acts of the stall: one function for each thing that a person does."""
