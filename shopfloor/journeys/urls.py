"""Addresses of the pages that cross the apps."""

from django.urls import path

from shopfloor.journeys import day_views, move_views, trace_views, views

urlpatterns = [
    path("", views.home, name="home"),
    path("orders/day/", day_views.day, name="day-papers"),
    path("orders/day/pick-list/", day_views.pick_list, name="pick-list"),
    path("orders/day/slips/", day_views.day_paper, {"what": "slips"}, name="day-slips"),
    path("orders/day/cards/", day_views.day_paper, {"what": "cards"}, name="day-cards"),
    path("orders/day/make/", day_views.make, name="day-paper-make"),
    path("orders/day/made/<uuid:key>/", day_views.made, name="day-paper-made"),
    path("orders/day/made/<uuid:key>/papers.pdf", day_views.made_file, name="day-paper-file"),
    path("trace/", trace_views.trace_page, name="trace"),
    path("trace/pieces.csv", trace_views.trace_file, {"what": "pieces"}, name="trace-pieces"),
    path("trace/lots.csv", trace_views.trace_file, {"what": "lots"}, name="trace-lots"),
    path("trace/tell/", trace_views.tell, name="tell"),
    path("trace/tell/list/", trace_views.tell_paper, {"what": "whom-to-tell"}, name="tell-list"),
    path("trace/tell/letters/", trace_views.tell_paper, {"what": "letters"}, name="tell-letters"),
    path("week/plan/", views.ask_plan, name="plan-ask"),
    path("week/plan/stop/", views.stop_plan, name="plan-stop"),
    path("week/mix/<int:planned_mix_id>/move/", move_views.move, name="mix-move"),
    path("week/look/", views.ask_look, name="look-ask"),
    path("week/look/stop/", views.stop_look, name="look-stop"),
]
