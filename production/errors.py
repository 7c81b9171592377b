"""Refusals of the workshop, each a sentence a person can act on."""


class ProductionError(Exception):
    """An act that cannot be done as asked. `field` names the form field it belongs to."""

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.field = field


class MoveNotAllowedError(ProductionError):
    """A sock or a pair is not where the act needs it to be."""


class CannotUndoError(ProductionError):
    """Something the act moved has moved on since."""
