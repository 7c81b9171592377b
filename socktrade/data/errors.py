"""What can go wrong with a file, each a sentence a person can act on."""


class DataError(Exception):
    """A file that cannot be written or read as asked."""
