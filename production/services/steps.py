"""Which finishing steps are done in this workshop."""

from socktrade.models import Workshop


def steps_off(workshop: Workshop | None = None) -> frozenset[str]:
    """Return the keys of the steps that are not done here; socks pass them by.

    Args:
        workshop: Its row, where it was read already.
    """
    return frozenset((workshop or Workshop.current()).skipped_steps)
