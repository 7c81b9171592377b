"""Addresses: strings."""

from django.urls import path

from production.views import strings as views

urlpatterns = [
    path("strings/", views.string_list, name="string_list"),
    path("strings/new/", views.string_new, name="string_new"),
    path("strings/check/", views.string_check, name="string_check"),
    path("strings/<int:number>/", views.string_detail, name="string_detail"),
    path("strings/<int:number>/resume/", views.string_resume, name="string_resume"),
    path("strings/<int:number>/slip/", views.string_slip, name="string_slip_page"),
]
