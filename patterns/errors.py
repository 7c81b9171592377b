"""Refusals at the planning table, each a sentence a person can act on."""


class PatternsError(Exception):
    """Something that cannot be written down as asked. `field` names its form field."""

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field


class AlreadyThereError(PatternsError):
    """There is one of these in the book."""


class CannotPlanError(PatternsError):
    """No sock comes out of these measures."""
