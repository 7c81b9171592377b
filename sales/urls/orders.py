"""Addresses: orders."""

from django.urls import path

from sales.views import orders as views

urlpatterns = [
    path("orders/", views.order_list, name="order_list"),
]
