"""Addresses: baskets."""

from django.urls import path

from production.views import baskets as views

urlpatterns = [
    path("baskets/", views.basket_list, name="basket_list"),
]
