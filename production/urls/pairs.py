"""Addresses: pairs."""

from django.urls import path

from production.views import pairs as views

urlpatterns = [
    path("pairs/", views.pair_list, name="pair_list"),
]
