"""What the subjects of the bench share: books, addresses, the clock, the bare page."""
