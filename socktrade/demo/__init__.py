"""An invented workshop, played through the same services that a person's clicks use."""

import datetime as dt

from django.contrib.auth.models import User
from django.db import transaction

from socktrade.demo.scene import METRIC, US
from socktrade.demo.story import Story


def ensure_demo(*, now: dt.datetime, metric: bool = False) -> bool:
    """Play the demo into an empty book; return whether that was needed.

    The story ends on the day it is played, so that its baskets are of today; apart from
    that it is the same every time.
    """
    if User.objects.exists():
        return False
    # One transaction: half a story is no story, and thousands of small ones are slow.
    with transaction.atomic():
        Story(METRIC if metric else US, now).play()
    return True
