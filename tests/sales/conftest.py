"""Who sells, on which day, out of which box."""

import pytest

from production.models import Pair
from production.services.acts import Who
from tests.factories.sales import open_stall


@pytest.fixture
def who(maker, at):
    return Who(by=maker, at=at)


@pytest.fixture
def day(maker):
    return open_stall(maker, pairs=3)


@pytest.fixture
def box(day):
    return list(Pair.objects.in_stall_box().order_by("number"))
