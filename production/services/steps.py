"""Which finishing steps are done in this workshop."""

from socktrade.models import Workshop


def steps_off() -> frozenset[str]:
    """Return the keys of the steps that are not done here; socks pass them by."""
    return frozenset(Workshop.current().skipped_steps)
