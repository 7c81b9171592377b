"""Which sock board to block on."""

from collections.abc import Sequence
from typing import Final

INCH_MM: Final = 25.4

BOARDS_MM: Final = tuple(halves / 2 * INCH_MM for halves in range(8, 27))
"""Boards from 4 to 13 inches in halves [mm], named by their foot; from memory."""

SLACK_MM: Final = INCH_MM / 4
"""A sock may be drawn this far onto a board [mm]; what steam stretches, a wash takes back."""


def board_for(sock_foot_mm: float, boards_mm: Sequence[float] = BOARDS_MM) -> float | None:
    """Return the largest board that does not stretch a sock by more than a quarter inch [mm].

    Boards keep a shape and gain no size: stretch returns in the first wash.

    Args:
        sock_foot_mm: Foot of the sock, washed [mm].
        boards_mm: Boards at hand, by the length of their foot [mm].

    Returns:
        The board's foot [mm], or None when even the smallest would stretch the sock.

    Raises:
        ValueError: If `sock_foot_mm` is not positive.
    """
    if not sock_foot_mm > 0:
        msg = f"sock_foot_mm is {sock_foot_mm}; it must be a length above 0 mm."
        raise ValueError(msg)
    fitting = [board for board in boards_mm if board <= sock_foot_mm + SLACK_MM]
    return max(fitting, default=None)
