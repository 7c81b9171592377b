"""Refusals of the stall, each a sentence a person can act on."""


class SalesError(Exception):
    """An act that cannot be done as asked. `field` names the form field it belongs to."""

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.field = field


class AlreadySoldError(SalesError):
    """The book has this pair sold. The sale may still be recorded, to be sorted out."""
