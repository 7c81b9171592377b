"""Every address of the app."""

from django.urls import include, path

from socktrade import views

urlpatterns = [
    path("", views.today, name="today"),
    path("find/", views.find, name="find"),
    path("acts/undo/", views.act_undo, name="act_undo"),
    path("workshop/", views.workshop, name="workshop"),
    path("glossary/", views.glossary, name="glossary"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("", include("patterns.urls")),
    path("", include("production.urls")),
    path("", include("sales.urls")),
]
