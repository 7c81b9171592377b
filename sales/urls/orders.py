"""Addresses: orders."""

from django.urls import path

from sales.views import orders as views

urlpatterns = [
    path("orders/", views.order_list, name="order_list"),
    path("orders/new/", views.order_new, name="order_new"),
    path("orders/customers.csv", views.customers_csv, name="customers_csv"),
    path("orders/customers.json", views.customers_json, name="customers_json"),
    path("orders/<int:order_id>/", views.order_detail, name="order_detail"),
    path("orders/<int:order_id>/reserve/", views.order_reserve, name="order_reserve"),
    path("orders/<int:order_id>/release/", views.order_release, name="order_release"),
    path("orders/<int:order_id>/hand-over/", views.order_hand_over, name="order_hand_over"),
    path("orders/<int:order_id>/deposit/", views.order_deposit, name="order_deposit"),
    path("orders/<int:order_id>/socks/", views.order_follow, name="order_follow"),
    path("orders/<int:order_id>/data.json", views.order_data, name="order_data"),
    path("orders/<int:order_id>/cancel/", views.order_cancel, name="order_cancel"),
    path("orders/<int:order_id>/erase/", views.order_erase, name="order_erase"),
]
