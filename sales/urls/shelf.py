"""Addresses: shelf."""

from django.urls import path

from sales.views import shelf as views

urlpatterns = [
    path("shelf/", views.shelf, name="shelf"),
]
