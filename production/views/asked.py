"""What an address asks for after its question mark."""

LARGEST = 2**63 - 1  # the largest key a database here can look up


def whole_number(text: str | None) -> int | None:
    """Return the number in an address, or None for anything that is none."""
    if text is None or not (text.isascii() and text.isdigit()) or len(text) > 19:
        return None
    number = int(text)
    return number if number <= LARGEST else None
