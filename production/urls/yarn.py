"""Addresses: yarn."""

from django.urls import path

from production.views import labels, lots
from production.views import yarn as views

urlpatterns = [
    path("yarn/", views.yarn_list, name="yarn_list"),
    path("yarn/new/", views.yarn_new, name="yarn_new"),
    path("yarn/<int:yarn_id>/edit/", views.yarn_edit, name="yarn_edit"),
    path("yarn/<int:yarn_id>/lots/new/", views.lot_new, name="lot_new"),
    path("yarn/lots/<int:lot_id>/", lots.lot_detail, name="lot_detail"),
    path("yarn/lots/<int:lot_id>/edit/", views.lot_edit, name="lot_edit"),
    path("yarn/lots/<int:lot_id>/receive/", lots.lot_receive, name="lot_receive"),
    path("yarn/lots/<int:lot_id>/weigh/", lots.lot_weigh, name="lot_weigh"),
    path("yarn/lots/<int:lot_id>/take/", lots.lot_take, name="lot_take"),
    path("yarn/lots/<int:lot_id>/weigh-each/", lots.lot_weigh_each, name="lot_weigh_each"),
    path("yarn/lots/<int:lot_id>/wind/", lots.lot_wind, name="lot_wind"),
    path("yarn/lots/<int:lot_id>/story/", lots.lot_story, name="lot_story"),
    path("yarn/enough/", labels.yarn_enough, name="yarn_enough"),
    path("yarn/care/", labels.care_list, name="care_list"),
    path("yarn/care/new/", labels.care_new, name="care_new"),
    path("yarn/care/<int:care_id>/", labels.care_edit, name="care_edit"),
    path("pairs/P<int:number>/content/", labels.pair_content, name="pair_content"),
    path("strings/<int:number>/<int:position>/content/", labels.sock_content, name="sock_content"),
    path("yarn/choices/<int:choice_id>/drop/", labels.choice_drop, name="choice_drop"),
]
