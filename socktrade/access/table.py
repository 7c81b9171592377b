"""One table: the least role that may open a page, by the page's name.

The owner may open everything. A helper works at the bench and the stall and sees no costs,
no takings and no settings. A stall sign-in sees the till and the count of one market day.
A page that stands nowhere here is open to nobody, and a test of the URL map says so.
"""

from socktrade.roles import Role

# Doors and machine answers, for which nobody signs in.
DOORS = frozenset({"sign_in", "start", "demo_door", "stall_door", "health"})

EVERYBODY = frozenset({"today", "sign_out", "glossary", "act_undo"})
STALL = frozenset()
HELPER = frozenset()
OWNER = frozenset()


def may_open(role: Role, page: str) -> bool:
    """Say whether somebody of this role may open a page."""
    if page in EVERYBODY or page in STALL:
        return True
    if page in HELPER:
        return role in (Role.OWNER, Role.HELPER)
    return page in OWNER and role == Role.OWNER


def named() -> frozenset[str]:
    """Return every page that the table names."""
    return DOORS | EVERYBODY | STALL | HELPER | OWNER
