"""Refusals of the arithmetic that a page shows, with the words for it."""

from typing import Self

from patterns.core.words import Phrase


class RefusedError(ValueError):
    """What cannot be reckoned as asked.

    Attributes:
        name: The argument that is in the way.
        reason: Why, in words for a reader; the message names argument, value and range.
    """

    def __init__(self, message: str, *, name: str, reason: Phrase) -> None:
        super().__init__(message)
        self.name = name
        self.reason = reason

    def about(self, text: str) -> Self:
        """Return the same with `{text}` in the reason as a person typed it."""
        known = self.reason
        reason = Phrase(known.one, {**known.values, "text": text}, known.many, known.number)
        return type(self)(str(self.args[0]), name=self.name, reason=reason)
