"""Every address of the app."""

from django.urls import include, path

from socktrade.access import views as people
from socktrade.data import views as data
from socktrade.scriptwords import words
from socktrade.views import account, book, home, yarn

urlpatterns = [
    path("", home.today, name="today"),
    path("favicon.ico", home.favicon, name="favicon"),
    path("words.js", words, name="words"),
    path("log/", home.log_string, name="log_string"),
    path("find/", book.find, name="find"),
    path("acts/undo/", book.act_undo, name="act_undo"),
    path("workshop/", book.workshop, name="workshop"),
    path("yarn/low/", yarn.yarn_low, name="yarn_low"),
    path("glossary/", book.glossary, name="glossary"),
    path("demo/open/", account.demo_beside, name="demo_beside"),
    path("start/<str:token>/", account.start, name="start"),
    path("demo/<str:token>/", account.demo_door, name="demo_door"),
    path("sign-in/", account.SignInView.as_view(), name="sign_in"),
    path("sign-out/", account.SignOutView.as_view(), name="sign_out"),
    path("health/", account.health, name="health"),
    path("stall/in/<str:secret>/", people.stall_door, name="stall_door"),
    path("workshop/people/", people.people_list, name="people"),
    path("workshop/people/helpers/", people.helper_add, name="helper_add"),
    path("workshop/people/helpers/<int:user_id>/end/", people.helper_end, name="helper_end"),
    path("workshop/people/passes/", people.pass_add, name="pass_add"),
    path("workshop/people/passes/<int:pass_id>/end/", people.pass_end, name="pass_end"),
    path("workshop/people/browsers/<int:signed_id>/end/", people.session_end, name="session_end"),
    path("workshop/data/", data.data, name="data"),
    path("workshop/data/export/", data.data_export, name="data_export"),
    path("workshop/data/copy/", data.data_backup, name="data_backup"),
    path("workshop/data/import/", data.data_import, name="data_import"),
    path("workshop/data/<str:table>/", data.data_rows, name="data_rows"),
    path("workshop/data/<str:table>/template/", data.data_template, name="data_template"),
    path("", include("patterns.urls")),
    path("", include("production.urls")),
    path("", include("sales.urls")),
]

handler500 = "socktrade.trouble.answer_failed"
