"""Addresses of the pages that cross the apps."""

from django.urls import path

from shopfloor.journeys import move_views, trace_views, views

urlpatterns = [
    path("", views.home, name="home"),
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
