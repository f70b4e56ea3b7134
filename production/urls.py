"""Addresses of the bench, week, shelf, moulds and range."""

from django.urls import URLPattern

app_name = "production"
urlpatterns: list[URLPattern] = []
