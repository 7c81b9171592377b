"""Addresses: baskets."""

from django.urls import path

from production.views import baskets as views

urlpatterns = [
    path("baskets/", views.basket_list, name="basket_list"),
    path("baskets/<slug:key>/", views.basket_detail, name="basket_detail"),
]
