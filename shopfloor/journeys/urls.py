"""Addresses of shopfloor.journeys."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
