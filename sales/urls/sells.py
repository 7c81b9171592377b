"""Addresses: sells."""

from django.urls import path

from sales.views import sells as views

urlpatterns = [
    path("sells/", views.sells, name="sells"),
]
