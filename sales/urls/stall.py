"""Addresses: stall."""

from django.urls import path

from sales.views import stall as views

urlpatterns = [
]
