"""Pages of the whole book: today, find, undo, the workshop, the way in."""
