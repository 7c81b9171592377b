"""By which names other devices reach this machine when it serves for them too."""

import socket

LOOPBACK = ("127.0.0.1", "localhost", "::1")
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - compared with, not bound to
# An address set aside for documentation (RFC 5737); asking for the way there sends nothing.
_AWAY = ("192.0.2.1", 9)


def outward_address() -> str:
    """Return this machine's address on its network, or "" when it is on none."""
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(_AWAY)
            return str(probe.getsockname()[0])
    except OSError:
        return ""


def names_served(host: str) -> list[str]:
    """Return the host names that a browser may ask for when the app serves on `host`.

    Only this machine's own names, so that a page elsewhere cannot reach the book under
    a name of its own choosing.
    """
    if host in LOOPBACK:
        return []
    if host not in EVERYWHERE:
        return [f"[{host}]" if ":" in host else host]
    name = socket.gethostname()
    return [found for found in (outward_address(), name, f"{name}.local") if found]
