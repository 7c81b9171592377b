"""Addresses: markets."""

from django.urls import path

from sales.views import markets as views

urlpatterns = [
    path("markets/", views.market_list, name="market_list"),
]
