"""Addresses of what keeps taps while there is no connection."""

from django.urls import path

from shopfloor.kept import views

urlpatterns = [
    path("kept/who/", views.who, name="kept-who"),
    path("kept-taps.js", views.worker, name="kept-worker"),
]
