"""Fixtures every test may use."""

import datetime as dt

import pytest
from hypothesis import settings

settings.register_profile("socktrade", derandomize=True, database=None, deadline=None)
settings.load_profile("socktrade")


@pytest.fixture
def at():
    return dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.UTC)


@pytest.fixture
def maker(db):
    from tests.factories.socktrade import UserFactory, WorkshopFactory

    WorkshopFactory()
    return UserFactory()


@pytest.fixture
def page(client, maker):
    """A client signed in as the maker, with the workshop set up."""
    client.force_login(maker)
    return client
