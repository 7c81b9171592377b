"""Addresses of the production app."""

from django.urls import path

from production import views

app_name = "production"

urlpatterns = [
    path("yarn/", views.yarn_list, name="yarn_list"),
    path("strings/", views.string_list, name="string_list"),
    path("baskets/", views.basket_list, name="basket_list"),
    path("pairs/", views.pair_list, name="pair_list"),
    path("tags/", views.tag_list, name="tag_list"),
]
