"""Addresses of shopfloor.studio."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
