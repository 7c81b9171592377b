"""Every address of the app."""

from django.urls import include, path

from socktrade.views import account, book, home

urlpatterns = [
    path("", home.today, name="today"),
    path("find/", book.find, name="find"),
    path("acts/undo/", book.act_undo, name="act_undo"),
    path("workshop/", book.workshop, name="workshop"),
    path("glossary/", book.glossary, name="glossary"),
    path("start/<str:token>/", account.start, name="start"),
    path("demo/<str:token>/", account.demo_door, name="demo_door"),
    path("sign-in/", account.SignInView.as_view(), name="sign_in"),
    path("sign-out/", account.SignOutView.as_view(), name="sign_out"),
    path("health/", account.health, name="health"),
    path("", include("patterns.urls")),
    path("", include("production.urls")),
    path("", include("sales.urls")),
]
