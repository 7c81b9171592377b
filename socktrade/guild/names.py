"""Which book an address belongs to, and what its schema is called. Standard library only."""

import re

LONGEST = 31
PREFIX = "book_"

_NAME = re.compile(rf"[a-z][a-z0-9-]{{1,{LONGEST - 1}}}")
_HOST = re.compile(r"[a-z0-9-]+(?:\.[a-z0-9-]+)+")


def checked_name(name: str) -> str:
    """Return the name of a book as it is.

    Raises:
        ValueError: If it cannot be the first word of a host name.
    """
    if not _NAME.fullmatch(name):
        msg = (
            f"name is {name!r}; 2 to {LONGEST} small letters, digits and hyphens would do, "
            "a letter first, such as wren."
        )
        raise ValueError(msg)
    return name


def checked_guild(domain: str) -> str:
    """Return the domain that all books of a guild lie under.

    Raises:
        ValueError: If it is no domain of at least two words.
    """
    if not _HOST.fullmatch(domain):
        msg = f"domain is {domain!r}; a host name would do, such as guild.example."
        raise ValueError(msg)
    return domain


def book_of_host(host: str, guild: str) -> str | None:
    """Return the book that a host name asks for, None where it asks for none.

    Args:
        host: What the browser calls this server, with or without a port.
        guild: The domain of the guild, such as `guild.example`.
    """
    name, dot, rest = host.lower().partition(":")[0].rstrip(".").partition(".")
    return name if dot and rest == guild and _NAME.fullmatch(name) else None


def schema_of(book: str) -> str:
    """Return the schema of a book; no two books share one.

    Raises:
        ValueError: If the name is not one that a book may have.
    """
    return PREFIX + checked_name(book).replace("-", "_")


def book_of_schema(schema: str) -> str | None:
    """Return the book of a schema, None where it belongs to none."""
    name = schema.removeprefix(PREFIX).replace("_", "-")
    return name if schema.startswith(PREFIX) and _NAME.fullmatch(name) else None
