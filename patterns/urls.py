"""Addresses of the patterns app."""

from django.urls import path

from patterns import views

app_name = "patterns"

urlpatterns = [
    path("patterns/", views.pattern_list, name="pattern_list"),
]
