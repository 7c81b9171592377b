"""Addresses: strings."""

from django.urls import path

from production.views import strings as views

urlpatterns = [
    path("strings/", views.string_list, name="string_list"),
]
