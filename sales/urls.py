"""Addresses of the sales app."""

from django.urls import path

from sales import views

app_name = "sales"

urlpatterns = [
    path("shelf/", views.shelf, name="shelf"),
    path("markets/", views.market_list, name="market_list"),
    path("orders/", views.order_list, name="order_list"),
    path("sells/", views.sells, name="sells"),
]
