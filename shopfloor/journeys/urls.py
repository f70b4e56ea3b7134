"""Addresses of the pages that cross the apps."""

from django.urls import path

from shopfloor.journeys import move_views, views

urlpatterns = [
    path("", views.home, name="home"),
    path("trace/", views.trace_page, name="trace"),
    path("week/plan/", views.ask_plan, name="plan-ask"),
    path("week/plan/stop/", views.stop_plan, name="plan-stop"),
    path("week/mix/<int:planned_mix_id>/move/", move_views.move, name="mix-move"),
    path("week/look/", views.ask_look, name="look-ask"),
    path("week/look/stop/", views.stop_look, name="look-stop"),
]
