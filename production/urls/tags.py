"""Addresses: tags."""

from django.urls import path

from production.views import tags as views

urlpatterns = [
    path("tags/", views.tag_list, name="tag_list"),
]
