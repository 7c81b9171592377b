"""The workshop and its people."""

import factory
from django.contrib.auth.models import User

from socktrade.models import Workshop


class WorkshopFactory(factory.django.DjangoModelFactory):
    """The one workshop row, in inches and dollars under US rules."""

    class Meta:
        model = Workshop
        django_get_or_create = ("pk",)

    pk = 1
    name = "Test Bench"
    town = "Port Ellery"
    identity = "Test Bench Socks"


class UserFactory(factory.django.DjangoModelFactory):
    """The owner of the book; a helper is made by `people.add_helper`."""

    class Meta:
        model = User

    username = factory.Sequence("maker{}".format)
    is_superuser = True
