"""Addresses of the bench, week, shelf, moulds and range: each area lists its own beside its views."""

from django.urls import URLPattern

from production.views import (
    bench,
    colours,
    costs,
    filling,
    free_days,
    mix_sets,
    moulds,
    out_of_mould,
    outcomes,
    papers,
    shelf,
    times_seen,
    week,
    week_acts,
    weigh,
)
from production.views import range as range_views

app_name = "production"
urlpatterns: list[URLPattern] = [
    *bench.urlpatterns,
    *weigh.urlpatterns,
    *mix_sets.urlpatterns,
    *out_of_mould.urlpatterns,
    *shelf.urlpatterns,
    *filling.urlpatterns,
    *outcomes.urlpatterns,
    *times_seen.urlpatterns,
    *week.urlpatterns,
    *week_acts.urlpatterns,
    *free_days.urlpatterns,
    *papers.urlpatterns,
    *moulds.urlpatterns,
    *range_views.urlpatterns,
    *costs.urlpatterns,
    *colours.urlpatterns,
]
