"""The time zone of the machine that the book is kept on."""

import os
from zoneinfo import ZoneInfoNotFoundError

import tzlocal


def machine_zone() -> str:
    """Return the name of the zone that a person or the machine chose, else UTC.

    A market day begins at the maker's own midnight, so the machine's zone is right
    unless SOCKTRADE_TIME_ZONE says otherwise. A name given there is taken as it is:
    a wrong one must be told to its writer, not replaced.
    """
    chosen = os.environ.get("SOCKTRADE_TIME_ZONE")
    if chosen:
        return chosen
    try:
        return tzlocal.get_localzone_name() or "UTC"
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return "UTC"
