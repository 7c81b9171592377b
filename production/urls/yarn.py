"""Addresses: yarn."""

from django.urls import path

from production.views import yarn as views

urlpatterns = [
    path("yarn/", views.yarn_list, name="yarn_list"),
]
