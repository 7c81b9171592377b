"""Addresses of the patterns app."""

from django.urls import path

from patterns.views import bench, book, cards, compare, legs, machine, plan, sizes, yarns

app_name = "patterns"

urlpatterns = [
    path("patterns/", book.pattern_list, name="pattern_list"),
    path("patterns/cylinders/", bench.cylinder_list, name="cylinder_list"),
    path("patterns/gauges/", bench.swatch_list, name="swatch_list"),
    path("patterns/gauges/settings/", yarns.gauge_lines, name="gauge_lines"),
    path("patterns/knee-socks/", legs.knee_socks, name="knee_socks"),
    path("patterns/machine/", machine.machine_habits, name="machine_habits"),
    path("patterns/plan/", plan.pattern_plan, name="pattern_plan"),
    path("patterns/sizes/", sizes.size_chart, name="size_chart"),
    path("patterns/sizes/usual/", sizes.size_usual, name="size_usual"),
    path("patterns/sizes/<int:size_id>/", sizes.size_change, name="size_change"),
    path("patterns/sizes/<int:size_id>/remove/", sizes.size_remove, name="size_remove"),
    path("patterns/run/", sizes.size_run, name="size_run"),
    path("patterns/run/sizes.csv", sizes.size_run_csv, name="size_run_csv"),
    path("patterns/fits/", sizes.will_it_fit, name="will_it_fit"),
    path("patterns/compare/", compare.version_compare, name="version_compare"),
    path("patterns/old-directions/", yarns.old_directions, name="old_directions"),
    path("patterns/stripes/", yarns.self_striping, name="self_striping"),
    path("patterns/versions/keep-cards.js", cards.card_worker, name="card_worker"),
    path("patterns/versions/<int:version_id>/card/", cards.row_card, name="row_card"),
    path(
        "patterns/versions/<int:version_id>/card/paper/",
        cards.row_card_paper,
        name="row_card_paper",
    ),
    path("patterns/versions/<int:version_id>/learn/", machine.learn_turns, name="learn_turns"),
    path("patterns/<int:pattern_id>/", book.pattern_detail, name="pattern_detail"),
]
