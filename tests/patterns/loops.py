"""Washed fabric of a wanted loop length."""

from patterns.core.gauge import Gauge


def gauge_of_loop(loop_cm):
    """Return the washed gauge of a loop: 4.2 / l stitches and 5.5 / l rows per cm."""
    # kw 4.2 and kc 5.5, GATE 2015 textile question 54.
    return Gauge(42 / loop_cm, 55 / loop_cm)
