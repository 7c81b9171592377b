"""What the maker does with cylinders, swatches and patterns."""
