"""Addresses: yarn."""

from django.urls import path

from production.views import yarn as views

urlpatterns = [
    path("yarn/", views.yarn_list, name="yarn_list"),
    path("yarn/new/", views.yarn_new, name="yarn_new"),
    path("yarn/<int:yarn_id>/edit/", views.yarn_edit, name="yarn_edit"),
    path("yarn/<int:yarn_id>/lots/new/", views.lot_new, name="lot_new"),
    path("yarn/lots/<int:lot_id>/", views.lot_detail, name="lot_detail"),
    path("yarn/lots/<int:lot_id>/edit/", views.lot_edit, name="lot_edit"),
    path("yarn/lots/<int:lot_id>/receive/", views.lot_receive, name="lot_receive"),
    path("yarn/lots/<int:lot_id>/weigh/", views.lot_weigh, name="lot_weigh"),
    path("yarn/lots/<int:lot_id>/take/", views.lot_take, name="lot_take"),
]
